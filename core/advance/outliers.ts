import { boxOfPaths, createBoxIndex, distanceToPath } from '../geo/index.ts'
import type { Find, MultiPath, OutlierPatch, OutlierWay, Patch, ReachPlace, SeasonSightings } from '../model/index.ts'
import { findInfestedPlaces } from './along-water.ts'
import { createExtent, type Extent } from './extent.ts'
import type { Lineage } from './lineage.ts'
import type { Waterways } from './waterways.ts'

/** Error of a position of which nothing is known, 95 %, metres. Source: common practice, no source. */
const UNKNOWN_ERROR = 30
/** A route passes a patch when it lies within this, metres. Source: common practice, no source. */
const ROUTE_REACH = 30

export interface OutlierInput {
  readonly season: string
  readonly patches: readonly Patch[]
  /** Last season: its extent, its patches' places on the water, and the years since. */
  readonly lastExtent: Extent
  readonly lastPatches: readonly Patch[]
  readonly lastPlaces: readonly ReachPlace[]
  readonly years: number
  readonly sightings: SeasonSightings | undefined
  readonly lastSightings: SeasonSightings | undefined
  readonly lineage: Lineage
  readonly waterways: Waterways | null
  readonly carriers: MultiPath | null
  readonly bank: number
  /** Metres a season that stem growth alone can bridge. */
  readonly stemGrowth: number
}

/**
 * Patches that share no ground with last season's extent and lie farther from it than stem growth over the years since
 * plus the 95 % position errors of the finds on both sides of the gap. Nearest first within a season is not implied:
 * they come in the order of the patches.
 */
export function findOutliers(input: OutlierInput): OutlierPatch[] {
  if (input.lastExtent.isEmpty) return []
  const lastFinds = input.lastSightings?.finds ?? []
  const findById = new Map((input.sightings?.finds ?? []).map(find => [find.reportId, find]))
  const lastById = new Map(lastFinds.map(find => [find.reportId, find]))
  return input.patches.flatMap(patch => {
    const history = input.lineage.history(patch)
    if (history !== undefined && history.status !== 'new' && history.status !== 'newly_found') return []
    const distance = gapBetween(patch, input.lastExtent)
    const own = patch.reportIds.flatMap(id => findById.get(id) ?? [])
    const bridged = input.stemGrowth * input.years + errorsAcrossGap(own, lastFinds, input.lastExtent)
    if (!(distance > bridged)) return []
    const waterDistance = distanceByWater(patch, input)
    const ways = rankWays(patch, { distance, waterDistance }, input)
    const nearest = nearestPatch(patch, input.lastPatches)
    return [
      {
        season: input.season,
        patchId: patch.id,
        distance,
        waterDistance,
        route: ways[0]!.route,
        ways,
        nearestPatch: nearest?.id ?? null,
        nearestReports: nearest === undefined ? [] : datingReports(nearest, lastById),
        datingReports: datingReports(patch, findById),
        isAgeUnknown: history?.status === 'newly_found',
      },
    ]
  })
}

/** Metres from a patch to an extent that it does not overlap; zero where they share ground. */
function gapBetween(patch: Patch, extent: Extent): number {
  const own = createExtent(patch.planar)
  let best = Number.POSITIVE_INFINITY
  for (const ring of patch.planar.flat()) {
    for (let i = 0; i < ring.length; i += 2) {
      best = Math.min(best, Math.max(0, extent.signedDistance(ring[i]!, ring[i + 1]!)))
      if (best === 0) return 0
    }
  }
  // The nearest pair of two polygons has a vertex of one of them, so the other's vertices count too.
  for (const ring of extent.shape.flat()) {
    for (let i = 0; i < ring.length; i += 2) {
      best = Math.min(best, Math.max(0, own.signedDistance(ring[i]!, ring[i + 1]!)))
    }
  }
  return best
}

/** 95 % errors of the patch's find that is nearest to the extent and of last season's find nearest to that one. */
function errorsAcrossGap(own: readonly Find[], last: readonly Find[], extent: Extent): number {
  const near = smallestBy(own, find => extent.signedDistance(find.x, find.y))
  const x = near?.x ?? Number.NaN
  const y = near?.y ?? Number.NaN
  const other =
    near && smallestBy(last, find => (find.makesArea ? Math.hypot(find.x - x, find.y - y) : Number.POSITIVE_INFINITY))
  return (near?.accuracy95 ?? UNKNOWN_ERROR) + (other?.accuracy95 ?? UNKNOWN_ERROR)
}

function smallestBy<T>(items: readonly T[], value: (item: T) => number): T | undefined {
  let best: T | undefined
  let smallest = Number.POSITIVE_INFINITY
  for (const item of items) {
    const own = value(item)
    if (own < smallest) [best, smallest] = [item, own]
  }
  return best
}

function distanceByWater(patch: Patch, { waterways, lastPlaces, bank }: OutlierInput): number | null {
  if (waterways === null || lastPlaces.length === 0) return null
  const places = findInfestedPlaces([patch], waterways, bank)
  const shortest = waterways
    .distanceDownstream(lastPlaces, places)
    .reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY)
  return Number.isFinite(shortest) ? shortest : null
}

/** The nearest of last season's patches overland; those whose boxes lie farther than the best so far are passed over. */
function nearestPatch(patch: Patch, last: readonly Patch[]): Patch | undefined {
  const own = boxOfPaths(patch.planar.flatMap(part => part.slice(0, 1)))
  if (own === undefined) return undefined
  const near = last
    .flatMap(other => {
      const box = boxOfPaths(other.planar.flatMap(part => part.slice(0, 1)))
      return box === undefined ? [] : [{ other, atLeast: boxGap(own, box) }]
    })
    .sort((a, b) => a.atLeast - b.atLeast)
  let best: Patch | undefined
  let smallest = Number.POSITIVE_INFINITY
  for (const { other, atLeast } of near) {
    if (atLeast >= smallest) break
    const gap = gapBetween(patch, createExtent(other.planar))
    if (gap < smallest) [best, smallest] = [other, gap]
  }
  return best
}

type Box4 = readonly [number, number, number, number]

const boxGap = (a: Box4, b: Box4): number =>
  Math.hypot(Math.max(0, a[0] - b[2], b[0] - a[2]), Math.max(0, a[1] - b[3], b[1] - a[3]))

/** The reports of the first day on which a patch was seen in its season. */
function datingReports(patch: Patch, finds: ReadonlyMap<string, Find>): string[] {
  const own = patch.reportIds.flatMap(id => finds.get(id) ?? [])
  const [first] = own.map(({ date }) => date).sort()
  return own
    .filter(({ date }) => date === first)
    .map(({ reportId }) => reportId)
    .sort()
}

interface Distances {
  readonly distance: number
  readonly waterDistance: number | null
}

/**
 * Ways that a patch may have come by, likeliest first: water where an infested reach lies upstream; a road or mowing
 * route that passes it, one that passes last season's ground too before others; overland. Where the layer of waterways or
 * of routes is missing, the way is unknown unless another one is seen.
 */
function rankWays(patch: Patch, { distance, waterDistance }: Distances, input: OutlierInput): OutlierWay[] {
  const ways: OutlierWay[] = []
  if (waterDistance !== null) ways.push({ route: 'water', distance: waterDistance })
  if (input.carriers !== null) {
    const passing = carriersPast(patch, input.carriers)
    if (passing.length > 0) ways.push({ route: 'road', distance: shortestAlong(passing, patch, input.lastExtent) })
  }
  const isRuledOut = input.carriers !== null && input.waterways !== null
  return [...ways, { route: isRuledOut ? 'overland' : 'unknown', distance }]
}

/** Metres along a route from last season's ground to the patch, over the routes that pass both; null where none does. */
function shortestAlong(paths: MultiPath, patch: Patch, last: Extent): number | null {
  const own = createExtent(patch.planar)
  let best = Number.POSITIVE_INFINITY
  for (const path of paths) {
    let [atPatch, atLast] = [-1, -1]
    for (const { x, y, along } of walkPath(path)) {
      if (own.signedDistance(x, y) <= ROUTE_REACH) atPatch = along
      if (last.signedDistance(x, y) <= ROUTE_REACH) atLast = along
      if (atPatch >= 0 && atLast >= 0) best = Math.min(best, Math.abs(atPatch - atLast))
    }
  }
  return Number.isFinite(best) ? best : null
}

/** Spacing of the places at which a route is held against ground, metres. */
const WALK = 10

function* walkPath(path: Float64Array): Generator<{ readonly x: number; readonly y: number; readonly along: number }> {
  let walked = 0
  for (let i = 2; i < path.length; i += 2) {
    const [x1, y1, x2, y2] = [path[i - 2]!, path[i - 1]!, path[i]!, path[i + 1]!]
    const length = Math.hypot(x2 - x1, y2 - y1)
    const pieces = Math.max(1, Math.ceil(length / WALK))
    for (let k = i === 2 ? 0 : 1; k <= pieces; k++) {
      const part = k / pieces
      yield { x: x1 + part * (x2 - x1), y: y1 + part * (y2 - y1), along: walked + part * length }
    }
    walked += length
  }
}

/** Roads and mowing routes that come within reach of a patch. */
function carriersPast(patch: Patch, carriers: MultiPath): Float64Array[] {
  const outer = patch.planar.flatMap(part => part.slice(0, 1))
  const box = boxOfPaths(outer)
  if (box === undefined || carriers.length === 0) return []
  const boxes = Float64Array.from(
    carriers.flatMap(path => boxOfPaths([path]) ?? [Number.NaN, Number.NaN, Number.NaN, Number.NaN]),
  )
  const near = createBoxIndex(boxes).search([
    box[0] - ROUTE_REACH,
    box[1] - ROUTE_REACH,
    box[2] + ROUTE_REACH,
    box[3] + ROUTE_REACH,
  ])
  return near.map(index => carriers[index]!).filter(path => outer.some(ring => isNear(ring, path, ROUTE_REACH)))
}

/** Whether a ring and a path come within `reach` of each other; a vertex of one of them is in the nearest pair unless they cross. */
function isNear(ring: Float64Array, path: Float64Array, reach: number): boolean {
  for (let i = 0; i < ring.length; i += 2) if (distanceToPath(path, ring[i]!, ring[i + 1]!) <= reach) return true
  for (let i = 0; i < path.length; i += 2) if (distanceToPath(ring, path[i]!, path[i + 1]!) <= reach) return true
  return false
}
