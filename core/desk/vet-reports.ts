import type {
  Admission,
  Brief,
  Finding,
  MultiPolygon,
  PlainDate,
  Report,
  Season,
  SeasonSightings,
} from '../model/index.ts'
import { calendarSeasons } from '../model/index.ts'
import { admitReports, checkReports, estimateDataDate, placeSightings } from '../vet/index.ts'
import { type GeoTools, prepareTools } from './tools.ts'

/** Which reports count, in which season and where. */
export interface Vetted {
  readonly seasons: readonly Season[]
  readonly dataDate: PlainDate
  readonly findings: readonly Finding[]
  readonly admissions: readonly Admission[]
  readonly sightings: readonly SeasonSightings[]
  readonly tools: GeoTools
}

export async function vetReports(
  brief: Brief,
  reports: readonly Report[],
  boundary: MultiPolygon | null,
  given?: GeoTools,
): Promise<Vetted> {
  const seasons = brief.seasons.length > 0 ? brief.seasons : calendarSeasons(reports.map(report => report.date))
  const dataDate = estimateDataDate(reports, seasons)
  const findings = checkReports({ reports, seasons, boundary, dataDate, outline: brief.outline })
  const admissions = admitReports(reports, findings, brief.vet)
  // A report that a person accepted at an impossible place still must not stretch the frame over half the globe.
  const blocked = new Set(findings.filter(finding => finding.severity === 'blocking').map(finding => finding.reportId))
  const isPlaced = ({ reportId, isAdmitted }: Admission) => isAdmitted && !blocked.has(reportId)
  const admitted = new Set(admissions.filter(isPlaced).map(entry => entry.reportId))
  const tools = given ?? (await prepareTools(brief, admittedOnly(reports, admitted)))
  const sightings = placeSightings({ reports, admissions, seasons, frame: tools.frame, outline: brief.outline })
  return { seasons, dataDate, findings, admissions, sightings, tools }
}

const admittedOnly = (reports: readonly Report[], admitted: ReadonlySet<string>) =>
  reports.filter(report => admitted.has(report.id))
