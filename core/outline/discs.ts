import type { Circles } from '../geo/index.ts'
import { type Find, type Metres, metres } from '../model/index.ts'

/** Finds of one place (same disc within 1 mm) as one disc with its reports. Working frame, metres. */
export interface Disc {
  readonly x: number
  readonly y: number
  readonly radius: number
  /** Reports of this place, newest first, then by report id. */
  readonly finds: readonly Find[]
  /** Best 95 % position radius of its reports. */
  readonly accuracy95: Metres
}

/** Finds closer than this in place and radius are reports of one disc. Fixed by the definition of a patch. */
const SAME_PLACE = 1e-3

/**
 * The discs of finds, sorted by x, y, radius, so that the order of the reports never matters.
 * Errors: a plain Error for a position or radius that is not finite, or a radius below 0.
 */
export function discsOfFinds(finds: readonly Find[]): Disc[] {
  for (const find of finds) checkFind(find)
  const sorted = [...finds].sort((a, b) => a.x - b.x || a.y - b.y || a.radius - b.radius || compareText(a, b))
  const groups: Find[][] = []
  let oldest = 0
  for (const find of sorted) {
    while (oldest < groups.length && find.x - groups[oldest]![0]!.x > SAME_PLACE) oldest++
    const same = groups.slice(oldest).find(group => isSamePlace(group[0]!, find))
    if (same) same.push(find)
    else groups.push([find])
  }
  return groups.map(discOf)
}

function discOf(group: readonly Find[]): Disc {
  const [first] = group as [Find]
  const accuracy95 = metres(Math.min(...group.map(find => find.accuracy95)))
  const finds = [...group].sort(compareNewest)
  return { x: first.x, y: first.y, radius: first.radius, finds, accuracy95 }
}

/** Newest first; reports of one day by id, so that the order is the same in every run. */
export const compareNewest = (a: Find, b: Find): number =>
  a.date === b.date ? compareText(a, b) : a.date > b.date ? -1 : 1

const compareText = (a: Find, b: Find): number => (a.reportId < b.reportId ? -1 : a.reportId > b.reportId ? 1 : 0)

const isSamePlace = (a: Find, b: Find): boolean =>
  Math.hypot(a.x - b.x, a.y - b.y) <= SAME_PLACE && Math.abs(a.radius - b.radius) <= SAME_PLACE

function checkFind(find: Find): void {
  if (Number.isFinite(find.x) && Number.isFinite(find.y) && find.radius >= 0 && find.radius < Number.POSITIVE_INFINITY)
    return
  throw new Error(`find ${find.reportId}: place (${find.x}, ${find.y}) with radius ${find.radius} makes no disc`)
}

/** The discs as columns. */
export function circlesOf(discs: readonly Disc[]): Circles {
  const [x, y, r] = [new Float64Array(discs.length), new Float64Array(discs.length), new Float64Array(discs.length)]
  for (let i = 0; i < discs.length; i++) {
    const disc = discs[i]!
    x[i] = disc.x
    y[i] = disc.y
    r[i] = disc.radius
  }
  return { x, y, r }
}
