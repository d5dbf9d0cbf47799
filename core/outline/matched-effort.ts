import { createArcsClosing, createGeosClosing, type PolygonEngine, planarArea } from '../geo/index.ts'
import type { Find, Interval, OutlineSettings, Patch, SeasonSightings, Task } from '../model/index.ts'
import { createRandom, quantile, type Random } from '../stats/index.ts'
import { circlesOf, discsOfFinds } from './discs.ts'
import { groupsOf, isPatch } from './outline-patches.ts'

export interface MatchInput {
  /** One a season, in the order of `patchesBySeason`. */
  readonly sightings: readonly SeasonSightings[]
  readonly patchesBySeason: readonly (readonly Patch[])[]
  readonly settings: OutlineSettings
  readonly engine: PolygonEngine
}

/** A season's gross area beside the effort behind it, and at the effort of the poorest season. */
export interface MatchedArea {
  readonly season: string
  /** Visits in the detectable window. */
  readonly visits: number
  /** As drawn from all of the season's reports, ellipsoidal. */
  readonly grossArea: number
  /** At `matchedVisits` visits: mean and 5 % to 95 % quantile over the draws; null with a `reason`. */
  readonly matchedArea: number | null
  readonly interval: Interval | null
  /** Visits of the poorest season that has any. */
  readonly matchedVisits: number
  readonly reason: string | null
}

/** Segments a quarter circle where exact arcs do not close. */
const FALLBACK_SEGMENTS = 32
/** Draws where the brief asks for none or few. */
const LEAST_DRAWS = 40

/**
 * Every season's gross area at the effort of the poorest one: its in-window visits are thinned to that number by seeded draws
 * without return, and the finds among them are outlined anew. Finds out of the window stand for no visit and are left out
 * of the thinned outlines and of the whole one they are compared with; the area as drawn is scaled by their ratio, so that
 * cut-outs and breaks stay in it.
 * Absent: null with a reason for a season without visits, finds in the window or area. Seasons without any visit are no poorest one.
 * Accuracy and cost: the standard error of the mean falls with the root of the draws; a closing of the season's finds a draw.
 */
export async function matchEffort(input: MatchInput, task: Task): Promise<MatchedArea[]> {
  const { sightings, patchesBySeason } = input
  const counts = sightings.map(({ visits }) => visits.length).filter(count => count > 0)
  const least = counts.length === 0 ? 0 : Math.min(...counts)
  const matched: MatchedArea[] = []
  for (const [s, season] of sightings.entries()) {
    await task.step(s / sightings.length, 'Matching the effort of seasons')
    const grossArea = patchesBySeason[s]!.reduce((sum, patch) => sum + patch.grossArea, 0)
    const facts = { season: season.season, visits: season.visits.length, grossArea, matchedVisits: least }
    const part = task.part(s / sightings.length, (s + 1) / sightings.length)
    matched.push({ ...facts, ...(await matchSeason(season, least, grossArea, input, part)) })
  }
  return matched
}

type Match = Pick<MatchedArea, 'matchedArea' | 'interval' | 'reason'>

const noMatch = (reason: string): Match => ({ matchedArea: null, interval: null, reason })

async function matchSeason(
  { season, finds, visits }: SeasonSightings,
  least: number,
  grossArea: number,
  { settings, engine }: MatchInput,
  task: Task,
): Promise<Match> {
  if (visits.length === 0) return noMatch('no visit in the detectable window')
  if (grossArea === 0) return { matchedArea: 0, interval: { low: 0, high: 0 }, reason: null }
  const areaOf = createAreaOf(settings, engine)
  const byId = new Map(finds.filter(find => find.makesArea).map(find => [find.reportId, find]))
  // In the order of report ids, so that the order of the rows never matters.
  const ids = visits.map(visit => visit.reportId).sort()
  const whole = areaOf(ids.flatMap(id => byId.get(id) ?? []))
  if (whole === 0) return noMatch('no find that makes area in the detectable window')
  if (visits.length === least) {
    return { matchedArea: grossArea, interval: { low: grossArea, high: grossArea }, reason: null }
  }
  const random = createRandom(settings.seed ^ hashOf(season))
  const draws = Math.max(settings.draws, LEAST_DRAWS)
  const areas: number[] = []
  for (let draw = 0; draw < draws; draw++) {
    await task.step(draw / draws, 'Matching the effort of seasons')
    shuffleFirst(ids, least, random)
    const thinned = ids.slice(0, least).flatMap(id => byId.get(id) ?? [])
    areas.push((grossArea * areaOf(thinned)) / whole)
  }
  return {
    matchedArea: areas.reduce((sum, area) => sum + area, 0) / draws,
    interval: { low: quantile(areas, 0.05), high: quantile(areas, 0.95) },
    reason: null,
  }
}

/** Planar gross area of the patches that finds make. The density contour is compared by its discs' closing too. */
function createAreaOf(settings: OutlineSettings, engine: PolygonEngine): (finds: readonly Find[]) => number {
  const closing = createArcsClosing(createGeosClosing(engine, FALLBACK_SEGMENTS), () => undefined)
  const half = settings.method === 'discs' ? 0 : settings.join / 2
  return finds => {
    let area = 0
    for (const group of groupsOf(discsOfFinds(finds), settings, null)) {
      if (!isPatch(group, settings)) continue
      const circles = circlesOf(group)
      area +=
        settings.minimumHole > 0
          ? planarArea(closing.close(circles, { half, minimumHole: settings.minimumHole }).shape)
          : closing.closedArea(circles, half)
    }
    return area
  }
}

/** Draws `count` of the items without return to the front. */
function shuffleFirst(items: string[], count: number, random: Random): void {
  for (let i = 0; i < count; i++) {
    const j = i + random.integer(items.length - i)
    const item = items[i]!
    items[i] = items[j]!
    items[j] = item
  }
}

function hashOf(text: string): number {
  let hash = 0x811c9dc5
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193)
  return hash
}
