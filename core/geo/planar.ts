import type { Box, MultiPath, MultiPolygon, Path, Ring } from '../model/geometry.ts'
import type { WorkingFrame } from './frame.ts'

/** Twice-signed trapezoids halved: positive for a counter-clockwise ring. Counted from the first vertex against cancellation. */
export function signedRingArea(ring: Ring): number {
  const [x0, y0] = [ring[0] ?? 0, ring[1] ?? 0]
  let sum = 0
  for (let i = 2; i + 3 < ring.length; i += 2) {
    sum += (ring[i]! - x0) * (ring[i + 3]! - y0) - (ring[i + 2]! - x0) * (ring[i + 1]! - y0)
  }
  return sum / 2
}

/** Area in the plane: outer rings less their holes, whichever way round they run. */
export function planarArea(shape: MultiPolygon): number {
  let area = 0
  for (const polygon of shape) {
    for (const [i, ring] of polygon.entries()) area += Math.abs(signedRingArea(ring)) * (i === 0 ? 1 : -1)
  }
  return area
}

/** Length of a path (or ring) in the plane. */
export function planarLength(path: Path): number {
  let length = 0
  for (let i = 2; i < path.length; i += 2) length += Math.hypot(path[i]! - path[i - 2]!, path[i + 1]! - path[i - 1]!)
  return length
}

/** Whether a point lies in the shape; points on an edge may fall either way. Even-odd rule over all rings. */
export function isInside(shape: MultiPolygon, x: number, y: number): boolean {
  let inside = false
  for (const polygon of shape) {
    for (const ring of polygon) if (crossesOddly(ring, x, y)) inside = !inside
  }
  return inside
}

function crossesOddly(ring: Ring, x: number, y: number): boolean {
  let odd = false
  for (let i = 2; i < ring.length; i += 2) {
    const [x1, y1, x2, y2] = [ring[i - 2]!, ring[i - 1]!, ring[i]!, ring[i + 1]!]
    if (y1 > y !== y2 > y && x < x1 + ((x2 - x1) * (y - y1)) / (y2 - y1)) odd = !odd
  }
  return odd
}

/** A place on a path. */
export interface PathPlace {
  readonly x: number
  readonly y: number
  readonly distance: number
  /** Index of the edge's first vertex. */
  readonly edge: number
  /** Planar length from the start of the path. */
  readonly along: number
}

/** The place on a path that is nearest to a point; the first of several. Absent: undefined for a path without vertices. */
export function findNearestOnPath(path: Path, x: number, y: number): PathPlace | undefined {
  if (path.length < 2) return undefined
  let best = { x: path[0]!, y: path[1]!, distance: Math.hypot(x - path[0]!, y - path[1]!), edge: 0, along: 0 }
  let walked = 0
  for (let i = 2; i < path.length; i += 2) {
    const [x1, y1] = [path[i - 2]!, path[i - 1]!]
    const [dx, dy] = [path[i]! - x1, path[i + 1]! - y1]
    const length = Math.hypot(dx, dy)
    const t = fractionAlong(x - x1, y - y1, dx, dy)
    const [px, py] = t === 1 ? [path[i]!, path[i + 1]!] : [x1 + t * dx, y1 + t * dy]
    const distance = Math.hypot(x - px, y - py)
    if (distance < best.distance) best = { x: px, y: py, distance, edge: i / 2 - 1, along: walked + t * length }
    walked += length
  }
  return best
}

/** Shortest distance from a point to a path; Infinity for a path without vertices. */
export function distanceToPath(path: Path, x: number, y: number): number {
  if (path.length < 2) return Number.POSITIVE_INFINITY
  let least = (x - path[0]!) ** 2 + (y - path[1]!) ** 2
  for (let i = 2; i < path.length; i += 2) {
    const [x1, y1] = [path[i - 2]!, path[i - 1]!]
    const [dx, dy] = [path[i]! - x1, path[i + 1]! - y1]
    const t = fractionAlong(x - x1, y - y1, dx, dy)
    const square = (x - x1 - t * dx) ** 2 + (y - y1 - t * dy) ** 2
    if (square < least) least = square
  }
  return Math.sqrt(least)
}

function fractionAlong(px: number, py: number, dx: number, dy: number): number {
  const square = dx * dx + dy * dy
  return square === 0 ? 0 : Math.min(1, Math.max(0, (px * dx + py * dy) / square))
}

/** Shortest distance from a point to any ring of the shape, inside or out; Infinity for an empty shape. */
export function distanceToBoundary(shape: MultiPolygon, x: number, y: number): number {
  let least = Number.POSITIVE_INFINITY
  for (const polygon of shape) for (const ring of polygon) least = Math.min(least, distanceToPath(ring, x, y))
  return least
}

/** Distance to the boundary, negative inside the shape. */
export const signedDistance = (shape: MultiPolygon, x: number, y: number): number =>
  isInside(shape, x, y) ? -distanceToBoundary(shape, x, y) : distanceToBoundary(shape, x, y)

/** Distance to the shape, 0 inside it. */
export const distanceToShape = (shape: MultiPolygon, x: number, y: number): number =>
  isInside(shape, x, y) ? 0 : distanceToBoundary(shape, x, y)

/** Bounds of the outer rings, or undefined for an empty shape. */
export const boxOf = (shape: MultiPolygon): Box | undefined => boxOfPaths(shape.flatMap(polygon => polygon.slice(0, 1)))

/** Bounds of paths, or undefined when they have no vertices. */
export function boxOfPaths(paths: MultiPath): Box | undefined {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const path of paths) {
    for (let i = 0; i < path.length; i += 2) {
      const [x, y] = [path[i]!, path[i + 1]!]
      if (x < minX) minX = x
      if (x > maxX) maxX = x
      if (y < minY) minY = y
      if (y > maxY) maxY = y
    }
  }
  return minX <= maxX ? [minX, minY, maxX, maxY] : undefined
}

/** Degrees to the plane, vertex by vertex. */
export const toPlanePath = (path: Path, frame: WorkingFrame): Path => mapVertices(path, frame.toPlane)
/** The plane to degrees, vertex by vertex. */
export const toGlobePath = (path: Path, frame: WorkingFrame): Path => mapVertices(path, frame.toGlobe)
export const toPlanePaths = (paths: MultiPath, frame: WorkingFrame): MultiPath => paths.map(p => toPlanePath(p, frame))
export const toGlobePaths = (paths: MultiPath, frame: WorkingFrame): MultiPath => paths.map(p => toGlobePath(p, frame))
export const toPlanePolygons = (shape: MultiPolygon, frame: WorkingFrame): MultiPolygon =>
  shape.map(polygon => polygon.map(ring => toPlanePath(ring, frame)))
export const toGlobePolygons = (shape: MultiPolygon, frame: WorkingFrame): MultiPolygon =>
  shape.map(polygon => polygon.map(ring => toGlobePath(ring, frame)))

/** Coordinates of places in turn, each put through `map`. */
export function mapVertices(
  coords: Float64Array,
  map: (x: number, y: number) => readonly [number, number],
): Float64Array {
  const result = new Float64Array(coords.length)
  for (let i = 0; i < coords.length; i += 2) {
    const [x, y] = map(coords[i]!, coords[i + 1]!)
    result[i] = x
    result[i + 1] = y
  }
  return result
}

/** The polygons of a shape whose bounds meet the bounds of any polygon of `places`; what lies elsewhere cannot touch them. */
export function polygonsMeeting(shape: MultiPolygon, places: MultiPolygon): MultiPolygon {
  const boxes = places.map(polygon => boxOf([polygon])).filter(box => box !== undefined)
  return shape.filter(polygon => {
    const own = boxOf([polygon])
    return (
      own !== undefined &&
      boxes.some(box => own[0] <= box[2] && own[2] >= box[0] && own[1] <= box[3] && own[3] >= box[1])
    )
  })
}
