import type { MultiPath, MultiPolygon, Path, Ring } from '../model/geometry.ts'
import { signedRingArea } from './planar.ts'

/**
 * Polygons in the one order that their shape alone decides: every ring starts at its lowest vertex (by x, then y),
 * outer rings run counter-clockwise and holes clockwise, holes and polygons stand by min x, then min y.
 * Absent: rings without area are dropped.
 */
export function normalPolygons(shape: MultiPolygon): MultiPolygon {
  const polygons: Ring[][] = []
  for (const [outer, ...holes] of shape) {
    const ring = outer && normalRing(outer, true)
    if (!ring) continue
    const inner = holes.map(hole => normalRing(hole, false)).filter(hole => hole !== null)
    polygons.push([ring, ...inner])
  }
  return sortPolygons(polygons)
}

/** Holes and polygons by min x, then min y, in place, for rings that already start and turn as `normalPolygons` has them. */
export function sortPolygons(polygons: Ring[][]): MultiPolygon {
  for (const polygon of polygons) {
    if (polygon.length < 3) continue
    const [outer, ...holes] = polygon
    polygon.splice(0, polygon.length, outer!, ...holes.sort(compareVertices))
  }
  return polygons.sort((a, b) => compareBoxes(a[0]!, b[0]!) || compareVertices(a[0]!, b[0]!))
}

/** Paths by their first vertex that differs; each keeps its direction. */
export const normalPaths = (paths: MultiPath): MultiPath => [...paths].sort(compareVertices)

/** The ring from its lowest vertex, turned as asked; null for one without area. */
function normalRing(ring: Ring, isCounterClockwise: boolean): Ring | null {
  const area = signedRingArea(ring)
  if (area === 0) return null
  const turned = area > 0 === isCounterClockwise ? ring : reversed(ring)
  const count = turned.length / 2 - 1
  let lowest = 0
  for (let i = 1; i < count; i++) {
    const dx = turned[2 * i]! - turned[2 * lowest]!
    if (dx < 0 || (dx === 0 && turned[2 * i + 1]! < turned[2 * lowest + 1]!)) lowest = i
  }
  if (lowest === 0) return turned
  const started = new Float64Array(turned.length)
  started.set(turned.subarray(2 * lowest, 2 * count))
  started.set(turned.subarray(0, 2 * lowest + 2), 2 * (count - lowest))
  return started
}

function reversed(path: Path): Path {
  const result = new Float64Array(path.length)
  for (let i = 0; i < path.length; i += 2) {
    result[i] = path[path.length - 2 - i]!
    result[i + 1] = path[path.length - 1 - i]!
  }
  return result
}

function compareVertices(a: Float64Array, b: Float64Array): number {
  const shared = Math.min(a.length, b.length)
  for (let i = 0; i < shared; i++) if (a[i] !== b[i]) return a[i]! - b[i]!
  return a.length - b.length
}

/** A normal ring starts at min x, so only min y has to be looked for. */
function compareBoxes(a: Ring, b: Ring): number {
  return a[0]! - b[0]! || lowestY(a) - lowestY(b)
}

function lowestY(ring: Ring): number {
  let lowest = Number.POSITIVE_INFINITY
  for (let i = 1; i < ring.length; i += 2) lowest = Math.min(lowest, ring[i]!)
  return lowest
}
