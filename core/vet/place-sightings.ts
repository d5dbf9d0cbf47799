import type { WorkingFrame } from '../geo/index.ts'
import type { OutlineSettings } from '../model/brief.ts'
import { accuracyAt95, type Report } from '../model/report.ts'
import { findSeason, isDetectable, type Season } from '../model/season.ts'
import type { Find, SeasonSightings, Visit } from '../model/sighting.ts'
import { metres } from '../model/units.ts'
import type { Admission } from '../model/vetting.ts'

export interface PlacingInput {
  readonly reports: readonly Report[]
  readonly admissions: readonly Admission[]
  readonly seasons: readonly Season[]
  readonly frame: WorkingFrame
  readonly outline: OutlineSettings
}

/**
 * The admitted reports of each season as finds and visits in the working frame, sorted by report id.
 * A find counts whenever it was made; a visit (found or not) only inside the window of its evidence.
 */
export function placeSightings(input: PlacingInput): SeasonSightings[] {
  const { reports, admissions, seasons, frame, outline } = input
  const admitted = new Set(admissions.filter(entry => entry.isAdmitted).map(entry => entry.reportId))
  const bySeason = new Map<string, { finds: Find[]; visits: Visit[] }>(
    seasons.map(season => [season.id, { finds: [], visits: [] }]),
  )
  const sorted = reports
    .filter(report => admitted.has(report.id))
    .sort((a, b) => (a.id < b.id ? -1 : a.id > b.id ? 1 : 0))
  for (const report of sorted) {
    const season = findSeason(seasons, report.date)
    if (season === undefined) continue
    const sightings = bySeason.get(season.id)!
    const [x, y] = frame.toPlane(report.longitude, report.latitude)
    const place = { reportId: report.id, season: season.id, date: report.date, x, y }
    if (report.isFound) sightings.finds.push({ ...place, ...supportOf(report, outline) })
    if (isDetectable(season, report.evidence, report.date))
      sightings.visits.push({ ...place, ...searchOf(report, outline) })
  }
  return seasons.map(season => ({ season: season.id, ...bySeason.get(season.id)! }))
}

function supportOf(report: Report, outline: OutlineSettings): Omit<Find, 'reportId' | 'season' | 'date' | 'x' | 'y'> {
  const accuracy95 = accuracyAt95(report)
  return {
    radius: metres(report.size === null ? outline.radius : Math.sqrt(report.size / Math.PI)),
    isMeasured: report.size !== null,
    accuracy95,
    makesArea: accuracy95 <= outline.accuracyLimit,
    hasAccuracy: report.accuracy !== null,
    cover: report.cover,
    isConfirmed: report.confirmedBy !== null,
  }
}

function searchOf(report: Report, outline: OutlineSettings): Omit<Visit, 'reportId' | 'season' | 'date' | 'x' | 'y'> {
  return {
    extent: report.extent ?? metres(outline.searchRadius),
    hasExtent: report.extent !== null,
    isFound: report.isFound,
    evidence: report.evidence,
    training: report.training,
    recorder: report.recorder,
  }
}
