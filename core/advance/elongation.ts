import type { Patch } from '../model/index.ts'
import { weightedQuantile } from '../stats/index.ts'

/** Length / width of the narrowest-area box, at any angle, around the outer rings of a patch; null without area. */
export function lengthToWidth(patch: Pick<Patch, 'planar'>): number | null {
  const hull = convexHull(patch.planar.flatMap(part => pairs(part[0] ?? new Float64Array())))
  if (hull.length < 3) return null
  let best = { area: Number.POSITIVE_INFINITY, ratio: Number.NaN }
  // The box of least area has a side along an edge of the hull (Freeman and Shapira 1975).
  hull.forEach((from, i) => {
    const to = hull[(i + 1) % hull.length]!
    const size = Math.hypot(to[0] - from[0], to[1] - from[1])
    const [ux, uy] = [(to[0] - from[0]) / size, (to[1] - from[1]) / size]
    const along = range(hull, ([x, y]) => x * ux + y * uy)
    const across = range(hull, ([x, y]) => y * ux - x * uy)
    if (along * across < best.area) {
      best = { area: along * across, ratio: Math.max(along, across) / Math.min(along, across) }
    }
  })
  return Number.isFinite(best.ratio) ? best.ratio : null
}

/** Median length / width of patches, each weighted by its gross area: lone discs are round whatever the front does. */
export function medianElongation(patches: readonly Patch[]): number | null {
  const known = patches.flatMap(patch => {
    const ratio = lengthToWidth(patch)
    return ratio === null ? [] : [{ ratio, area: patch.grossArea }]
  })
  const median = weightedQuantile(
    known.map(one => one.ratio),
    known.map(one => one.area),
    0.5,
  )
  return Number.isNaN(median) ? null : median
}

type Point = readonly [x: number, y: number]

const pairs = (ring: Float64Array): Point[] =>
  Array.from({ length: ring.length / 2 }, (_, i) => [ring[2 * i]!, ring[2 * i + 1]!] as const)

function range(points: readonly Point[], value: (point: Point) => number): number {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
  for (const point of points) {
    const own = value(point)
    if (own < low) low = own
    if (own > high) high = own
  }
  return high - low
}

/** Counter-clockwise hull without repeated or straight-through points. Source: Andrew (1979) Inf. Proc. Letters 9:216-219. */
function convexHull(points: readonly Point[]): Point[] {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1])
  const chain = (input: readonly Point[]) => {
    const kept: Point[] = []
    for (const point of input) {
      while (kept.length >= 2 && turn(kept.at(-2)!, kept.at(-1)!, point) <= 0) kept.pop()
      kept.push(point)
    }
    return kept.slice(0, -1)
  }
  return [...chain(sorted), ...chain([...sorted].reverse())]
}

const turn = (a: Point, b: Point, c: Point): number => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
