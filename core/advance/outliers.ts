import { boxOfPaths, createBoxIndex, distanceToPath } from '../geo/index.ts'
import type { Find, MultiPath, OutlierPatch, OutlierRoute, Patch, ReachPlace, SeasonSightings } from '../model/index.ts'
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
  return input.patches.flatMap(patch => {
    const history = input.lineage.history(patch)
    if (history !== undefined && history.status !== 'new' && history.status !== 'newly_found') return []
    const distance = gapBetween(patch, input.lastExtent)
    const own = patch.reportIds.flatMap(id => findById.get(id) ?? [])
    const bridged = input.stemGrowth * input.years + errorsAcrossGap(own, lastFinds, input.lastExtent)
    if (!(distance > bridged)) return []
    const waterDistance = distanceByWater(patch, input)
    const route = likeliestRoute(patch, waterDistance, input)
    const isAgeUnknown = history?.status === 'newly_found'
    return [{ season: input.season, patchId: patch.id, distance, waterDistance, route, isAgeUnknown }]
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

/**
 * Water where an infested reach lies upstream, else a road or mowing route that passes the patch. Overland is what is
 * left when both were looked at; without one of the two layers the route is unknown.
 */
function likeliestRoute(patch: Patch, waterDistance: number | null, input: OutlierInput): OutlierRoute {
  if (waterDistance !== null) return 'water'
  if (input.carriers !== null && isPassedBy(patch, input.carriers)) return 'road'
  return input.carriers !== null && input.waterways !== null ? 'overland' : 'unknown'
}

function isPassedBy(patch: Patch, carriers: MultiPath): boolean {
  const outer = patch.planar.flatMap(part => part.slice(0, 1))
  const box = boxOfPaths(outer)
  if (box === undefined || carriers.length === 0) return false
  const boxes = Float64Array.from(
    carriers.flatMap(path => boxOfPaths([path]) ?? [Number.NaN, Number.NaN, Number.NaN, Number.NaN]),
  )
  const near = createBoxIndex(boxes).search([
    box[0] - ROUTE_REACH,
    box[1] - ROUTE_REACH,
    box[2] + ROUTE_REACH,
    box[3] + ROUTE_REACH,
  ])
  return near.some(index => {
    const path = carriers[index]!
    return outer.some(ring => isNear(ring, path, ROUTE_REACH))
  })
}

/** Whether a ring and a path come within `reach` of each other; a vertex of one of them is in the nearest pair unless they cross. */
function isNear(ring: Float64Array, path: Float64Array, reach: number): boolean {
  for (let i = 0; i < ring.length; i += 2) if (distanceToPath(path, ring[i]!, ring[i + 1]!) <= reach) return true
  for (let i = 0; i < path.length; i += 2) if (distanceToPath(ring, path[i]!, path[i + 1]!) <= reach) return true
  return false
}
