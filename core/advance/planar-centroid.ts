import { signedRingArea } from '../geo/index.ts'
import type { Patch } from '../model/index.ts'

/** Area centroid of a patch in the working frame. */
export function centroidOf(patch: Pick<Patch, 'planar'>): readonly [x: number, y: number] {
  let [area, sumX, sumY] = [0, 0, 0]
  for (const ring of patch.planar.flat()) {
    // Holes run clockwise, so that their share is taken off by itself.
    const own = signedRingArea(ring)
    const [x, y] = ringCentroid(ring, own)
    area += own
    sumX += own * x
    sumY += own * y
  }
  return [sumX / area, sumY / area]
}

function ringCentroid(ring: Float64Array, area: number): readonly [number, number] {
  let [sumX, sumY] = [0, 0]
  const [x0, y0] = [ring[0]!, ring[1]!]
  for (let i = 2; i < ring.length; i += 2) {
    const [x1, y1, x2, y2] = [ring[i - 2]! - x0, ring[i - 1]! - y0, ring[i]! - x0, ring[i + 1]! - y0]
    const cross = x1 * y2 - x2 * y1
    sumX += (x1 + x2) * cross
    sumY += (y1 + y2) * cross
  }
  return area === 0 ? [x0, y0] : [x0 + sumX / (6 * area), y0 + sumY / (6 * area)]
}
