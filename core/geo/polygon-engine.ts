import type { MultiPath, MultiPolygon } from '../model/geometry.ts'

/**
 * Polygon operations in the plane. The engine owns its memory: what it takes and gives is plain data.
 * Results are valid, outer rings counter-clockwise, in an order that depends on the input alone.
 * Errors: a plain Error with the engine's message for coordinates that are not finite.
 */
export interface PolygonEngine {
  union(shapes: readonly MultiPolygon[]): MultiPolygon
  intersection(a: MultiPolygon, b: MultiPolygon): MultiPolygon
  difference(a: MultiPolygon, b: MultiPolygon): MultiPolygon
  /** Grown (or shrunk when negative) by `distance` with round corners of `segments` a quarter circle. */
  buffer(shape: MultiPolygon, distance: number, segments: number): MultiPolygon
  bufferPaths(paths: MultiPath, distance: number, segments: number): MultiPolygon
  /** Pieces of the paths inside the shape. */
  clipPaths(paths: MultiPath, shape: MultiPolygon): MultiPath
  isValid(shape: MultiPolygon): boolean
  makeValid(shape: MultiPolygon): MultiPolygon
  /** Bytes that the engine's heap holds now. */
  heapBytes(): number
}
