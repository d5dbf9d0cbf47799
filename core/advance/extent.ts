import { indexBoundary } from '../geo/index.ts'
import type { MultiPolygon } from '../model/index.ts'

/** A set of polygons that answers how far a place is from its boundary and whether it lies inside. */
export interface Extent {
  readonly shape: MultiPolygon
  readonly isEmpty: boolean
  contains(x: number, y: number): boolean
  /** Distance to the nearest point of the boundary, metres, positive outside and negative inside; Infinity when empty. */
  signedDistance(x: number, y: number): number
}

/**
 * Builds an extent from polygons that do not overlap (a union).
 * Shapes: planar metres, closed rings. Accuracy and cost: exact to rounding; a query looks at the cells around it only.
 */
export function createExtent(shape: MultiPolygon): Extent {
  const boundary = indexBoundary(shape)
  return {
    shape,
    isEmpty: shape.every(polygon => polygon.every(ring => ring.length < 4)),
    contains: boundary.isInside,
    signedDistance: boundary.signedDistance,
  }
}

export type Bounds = readonly [minX: number, minY: number, maxX: number, maxY: number]

/** Smallest box around a ring or path; inverted when there is none. */
export function boundsOf(ring: Float64Array): Bounds {
  let [minX, minY, maxX, maxY] = [
    Number.POSITIVE_INFINITY,
    Number.POSITIVE_INFINITY,
    -Number.POSITIVE_INFINITY,
    -Number.POSITIVE_INFINITY,
  ]
  for (let i = 0; i < ring.length; i += 2) {
    const [x, y] = [ring[i]!, ring[i + 1]!]
    if (x < minX) minX = x
    if (x > maxX) maxX = x
    if (y < minY) minY = y
    if (y > maxY) maxY = y
  }
  return [minX, minY, maxX, maxY]
}
