import { measureDistance } from '../../geo/index.ts'
import type { MultiPolygon } from '../../model/geometry.ts'
import type { Metres } from '../../model/units.ts'

/**
 * Distance from a place to the nearest edge of a shape, both in degrees.
 * Accuracy and cost: the nearest place is sought with degrees of longitude shortened by the cosine of the latitude (within
 * 1 % for some tens of kilometres), its distance is then taken on the ellipsoid; linear in the edges.
 */
export function distanceToRings(shape: MultiPolygon, longitude: number, latitude: number): Metres {
  const shrink = Math.cos((latitude * Math.PI) / 180)
  let best = Number.POSITIVE_INFINITY
  let [bestX, bestY] = [Number.NaN, Number.NaN]
  for (const ring of shape.flat()) {
    for (let i = 0; i + 3 < ring.length; i += 2) {
      const [x0, y0] = [(ring[i]! - longitude) * shrink, ring[i + 1]! - latitude]
      const [dx, dy] = [(ring[i + 2]! - ring[i]!) * shrink, ring[i + 3]! - ring[i + 1]!]
      const length2 = dx * dx + dy * dy
      const share = length2 > 0 ? Math.min(1, Math.max(0, -(x0 * dx + y0 * dy) / length2)) : 0
      const [x, y] = [x0 + share * dx, y0 + share * dy]
      const distance2 = x * x + y * y
      if (distance2 < best) [best, bestX, bestY] = [distance2, x, y]
    }
  }
  return measureDistance(longitude, latitude, longitude + bestX / shrink, latitude + bestY)
}
