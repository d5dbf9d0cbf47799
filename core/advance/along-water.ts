import type { AlongWater, Patch, ReachPlace } from '../model/index.ts'
import { walkOuterRings } from './boundary-points.ts'
import type { Waterways } from './waterways.ts'

/** Spacing of the places at which patches are held against water, metres: finer than the bank distance. */
const SPACING = 10

/** Places on the water within `bank` metres of the ground that the patches infest. */
export function findInfestedPlaces(patches: readonly Patch[], waterways: Waterways, bank: number): ReachPlace[] {
  return patches.flatMap(patch => {
    const ground = patch.infestedPlanar.length > 0 ? patch.infestedPlanar : patch.planar
    return walkOuterRings(ground, SPACING).flatMap(point => {
      const place = waterways.placeOn(point.x, point.y, bank)
      return place === undefined ? [] : [{ reach: place.reach, fraction: place.fraction }]
    })
  })
}

/**
 * Network distance from the oldest infested reach (those of the first season with any) to the farthest infested place
 * down the water and up the water, by season. Places that water does not join to it count for neither.
 */
export function measureAlongWater(
  seasons: readonly string[],
  placesBySeason: readonly (readonly ReachPlace[])[],
  waterways: Waterways,
): AlongWater[] {
  const first = placesBySeason.findIndex(places => places.length > 0)
  return seasons.map((season, i) => {
    const places = placesBySeason[i]!
    if (first < 0 || places.length === 0) return { season, downstream: null, upstream: null }
    const oldest = placesBySeason[first]!
    return {
      season,
      downstream: largestFinite(waterways.distanceDownstream(oldest, places)),
      upstream: largestFinite(waterways.distanceUpstream(oldest, places)),
    }
  })
}

function largestFinite(values: ArrayLike<number>): number | null {
  let best: number | null = null
  for (let i = 0; i < values.length; i++) {
    const value = values[i]!
    if (Number.isFinite(value) && (best === null || value > best)) best = value
  }
  return best
}
