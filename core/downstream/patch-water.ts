import { measureDistance } from '../geo/index.ts'
import type { MultiPolygon, ReachNetwork } from '../model/index.ts'
import { createTangentPlane, localMetresAt, type ReachIndex, type TangentPlane } from '../network/index.ts'

/** How one reach lies to one patch. */
export interface PatchReach {
  readonly reach: number
  /** Smallest ellipsoidal distance, metres; 0 where the water touches or crosses the patch. */
  readonly distance: number
  /** Where the reach is nearest, share (0-1) of its length. */
  readonly nearest: number
  /** Stretches of the reach inside the patch: the middle, share (0-1), and the length, metres. */
  readonly crossings: readonly { readonly middle: number; readonly length: number }[]
}

/**
 * The reaches within a distance of polygons in degrees, ascending by reach.
 * Accuracy and cost: worked on the plane that touches the ellipsoid at the patch, 1e-3 m within 5 km of its middle;
 * edges of the patch times segments of water beside it.
 */
export function findReachesNear(index: ReachIndex, outline: MultiPolygon, within: number): PatchReach[] {
  const bounds = boundsOf(outline)
  if (bounds === undefined) return []
  const [west, south, east, north] = bounds
  const plane = createTangentPlane((west + east) / 2, (south + north) / 2)
  const shape = flattenEdges(outline, plane)
  const scale = localMetresAt(Math.min(89.9, Math.max(Math.abs(south), Math.abs(north)) + within / 111_000))
  const [dx, dy] = [(within + 1) / scale.x, (within + 1) / scale.y]
  return index
    .findInBox(west - dx, south - dy, east + dx, north + dy)
    .map(reach => relateReach(index.network, reach, shape, plane, within))
    .filter(found => found.distance <= within)
}

/** Whether two sets of polygons in degrees share any ground. */
export function isOverlapping(a: MultiPolygon, b: MultiPolygon): boolean {
  const [boundsA, boundsB] = [boundsOf(a), boundsOf(b)]
  if (boundsA === undefined || boundsB === undefined) return false
  if (boundsA[0] > boundsB[2] || boundsB[0] > boundsA[2] || boundsA[1] > boundsB[3] || boundsB[1] > boundsA[3])
    return false
  const plane = createTangentPlane((boundsA[0] + boundsA[2]) / 2, (boundsA[1] + boundsA[3]) / 2)
  const [shapeA, shapeB] = [flattenEdges(a, plane), flattenEdges(b, plane)]
  if (isInside(shapeB, shapeA.edges[0]!, shapeA.edges[1]!) || isInside(shapeA, shapeB.edges[0]!, shapeB.edges[1]!))
    return true
  const { edges } = shapeA
  for (let i = 0; i < edges.length; i += 4) {
    if (cutsOf(shapeB, edges[i]!, edges[i + 1]!, edges[i + 2]!, edges[i + 3]!).length > 0) return true
  }
  return false
}

/** Edges of polygons on a tangent plane. */
export interface FlatShape {
  /** x1, y1, x2, y2 of every edge, metres on the tangent plane. */
  readonly edges: Float64Array
  readonly minX: number
  readonly minY: number
  readonly maxX: number
  readonly maxY: number
}

export function boundsOf(shape: MultiPolygon): [number, number, number, number] | undefined {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const polygon of shape) {
    const ring = polygon[0]
    if (ring === undefined) continue
    for (let i = 0; i < ring.length; i += 2) {
      west = Math.min(west, ring[i]!)
      east = Math.max(east, ring[i]!)
      south = Math.min(south, ring[i + 1]!)
      north = Math.max(north, ring[i + 1]!)
    }
  }
  return west <= east ? [west, south, east, north] : undefined
}

export function flattenEdges(shape: MultiPolygon, plane: TangentPlane): FlatShape {
  const rings = shape.flat()
  const edges = new Float64Array(rings.reduce((sum, ring) => sum + 4 * Math.max(0, ring.length / 2 - 1), 0))
  let used = 0
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const ring of rings) {
    let [bx, by] = plane.toPlane(ring[0]!, ring[1]!)
    for (let i = 2; i < ring.length; i += 2) {
      const [ax, ay] = [bx, by]
      ;[bx, by] = plane.toPlane(ring[i]!, ring[i + 1]!)
      edges.set([ax, ay, bx, by], used)
      used += 4
      minX = Math.min(minX, ax, bx)
      maxX = Math.max(maxX, ax, bx)
      minY = Math.min(minY, ay, by)
      maxY = Math.max(maxY, ay, by)
    }
  }
  return { edges, minX, minY, maxX, maxY }
}

function relateReach(
  network: ReachNetwork,
  reach: number,
  shape: FlatShape,
  plane: TangentPlane,
  within: number,
): PatchReach {
  const { coords, vertexOffsets } = network
  const total = network.length[reach]!
  const stretches: [start: number, end: number][] = []
  let best = { distance: Number.POSITIVE_INFINITY, at: 0 }
  let before = 0
  let [bx, by] = plane.toPlane(coords[2 * vertexOffsets[reach]!]!, coords[2 * vertexOffsets[reach]! + 1]!)
  for (let i = vertexOffsets[reach]!; i < vertexOffsets[reach + 1]! - 1; i++) {
    const [ax, ay] = [bx, by]
    ;[bx, by] = plane.toPlane(coords[2 * i + 2]!, coords[2 * i + 3]!)
    const length = measureDistance(coords[2 * i]!, coords[2 * i + 1]!, coords[2 * i + 2]!, coords[2 * i + 3]!)
    if (isBoxNear(shape, ax, ay, bx, by, within)) {
      for (const [t, u] of insideStretches(shape, ax, ay, bx, by))
        addStretch(stretches, before + t * length, before + u * length)
      const near = nearestOnSegment(shape, ax, ay, bx, by, best.distance)
      if (near.distance < best.distance) best = { distance: near.distance, at: before + near.t * length }
    }
    before += length
  }
  const crossings = stretches
    .filter(([start, end]) => end - start > 1e-6)
    .map(([start, end]) => ({ middle: (start + end) / 2 / total, length: end - start }))
  const nearest = crossings.length > 0 ? crossings[0]!.middle : Math.min(1, best.at / total)
  return { reach, distance: crossings.length > 0 ? 0 : best.distance, nearest, crossings }
}

/** Joins a stretch to the one before it where they meet at a vertex. */
function addStretch(stretches: [number, number][], start: number, end: number): void {
  const last = stretches.at(-1)
  if (last !== undefined && start - last[1] < 1e-6) last[1] = end
  else stretches.push([start, end])
}

export function isBoxNear(shape: FlatShape, ax: number, ay: number, bx: number, by: number, within: number): boolean {
  return (
    Math.min(ax, bx) <= shape.maxX + within &&
    Math.max(ax, bx) >= shape.minX - within &&
    Math.min(ay, by) <= shape.maxY + within &&
    Math.max(ay, by) >= shape.minY - within
  )
}

/** Fractions of a segment at which it meets edges of the shape, ascending. */
function cutsOf({ edges }: FlatShape, ax: number, ay: number, bx: number, by: number): number[] {
  const cuts: number[] = []
  const [rx, ry] = [bx - ax, by - ay]
  for (let i = 0; i < edges.length; i += 4) {
    const [cx, cy] = [edges[i]!, edges[i + 1]!]
    const [sx, sy] = [edges[i + 2]! - cx, edges[i + 3]! - cy]
    const cross = rx * sy - ry * sx
    if (cross === 0) continue
    const t = ((cx - ax) * sy - (cy - ay) * sx) / cross
    const u = ((cx - ax) * ry - (cy - ay) * rx) / cross
    if (t >= 0 && t <= 1 && u >= 0 && u <= 1) cuts.push(t)
  }
  return cuts.sort((a, b) => a - b)
}

/** Stretches of a segment that lie inside the shape, as fractions of it. */
function insideStretches(shape: FlatShape, ax: number, ay: number, bx: number, by: number): [number, number][] {
  if (!isBoxNear(shape, ax, ay, bx, by, 0)) return []
  const stops = [0, ...cutsOf(shape, ax, ay, bx, by), 1]
  const inside: [number, number][] = []
  for (let i = 1; i < stops.length; i++) {
    const [t, u] = [stops[i - 1]!, stops[i]!]
    if (!(u > t)) continue
    const middle = (t + u) / 2
    if (isInside(shape, ax + middle * (bx - ax), ay + middle * (by - ay))) addStretch(inside, t, u)
  }
  return inside
}

/** Even-odd rule over all rings, so that holes count as outside. */
function isInside({ edges }: FlatShape, x: number, y: number): boolean {
  let isIn = false
  for (let i = 0; i < edges.length; i += 4) {
    const [ay, by] = [edges[i + 1]!, edges[i + 3]!]
    if (ay > y === by > y) continue
    const at = edges[i]! + ((y - ay) / (by - ay)) * (edges[i + 2]! - edges[i]!)
    if (x < at) isIn = !isIn
  }
  return isIn
}

function nearestOnSegment({ edges }: FlatShape, ax: number, ay: number, bx: number, by: number, limit: number) {
  let distance = limit
  let t = 0
  for (let i = 0; i < edges.length; i += 4) {
    const [cx, cy, dx, dy] = [edges[i]!, edges[i + 1]!, edges[i + 2]!, edges[i + 3]!]
    if (Math.min(ax, bx) - Math.max(cx, dx) >= distance || Math.min(cx, dx) - Math.max(ax, bx) >= distance) continue
    if (Math.min(ay, by) - Math.max(cy, dy) >= distance || Math.min(cy, dy) - Math.max(ay, by) >= distance) continue
    const meeting = meetSegments(ax, ay, bx, by, cx, cy, dx, dy)
    if (meeting.distance < distance) ({ distance, t } = meeting)
  }
  return { distance, t }
}

/** Smallest distance between two segments and where it is on the first. */
function meetSegments(ax: number, ay: number, bx: number, by: number, cx: number, cy: number, dx: number, dy: number) {
  const [rx, ry, sx, sy] = [bx - ax, by - ay, dx - cx, dy - cy]
  const cross = rx * sy - ry * sx
  const t = ((cx - ax) * sy - (cy - ay) * sx) / cross
  const u = ((cx - ax) * ry - (cy - ay) * rx) / cross
  if (t >= 0 && t <= 1 && u >= 0 && u <= 1) return { distance: 0, t }
  let best = { distance: Number.POSITIVE_INFINITY, t: 0 }
  const consider = (distance: number, at: number) => {
    if (distance < best.distance) best = { distance, t: at }
  }
  for (const [x, y] of [
    [cx, cy],
    [dx, dy],
  ] as const) {
    const at = clampedFoot(x, y, ax, ay, rx, ry)
    consider(Math.hypot(ax + at * rx - x, ay + at * ry - y), at)
  }
  for (const [x, y, at] of [
    [ax, ay, 0],
    [bx, by, 1],
  ] as const) {
    const foot = clampedFoot(x, y, cx, cy, sx, sy)
    consider(Math.hypot(cx + foot * sx - x, cy + foot * sy - y), at)
  }
  return best
}

function clampedFoot(x: number, y: number, ax: number, ay: number, dx: number, dy: number): number {
  const square = dx * dx + dy * dy
  return square === 0 ? 0 : Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / square))
}

/** Distance from a point to a shape, 0 inside it; `limit` or more where it is farther than that. */
export function distanceToShape(shape: FlatShape, x: number, y: number, limit: number): number {
  const { edges } = shape
  let least = Number.POSITIVE_INFINITY
  for (let i = 0; i < edges.length; i += 4) {
    const [cx, cy, dx, dy] = [edges[i]!, edges[i + 1]!, edges[i + 2]!, edges[i + 3]!]
    if (Math.min(cx, dx) - x > limit || x - Math.max(cx, dx) > limit) continue
    if (Math.min(cy, dy) - y > limit || y - Math.max(cy, dy) > limit) continue
    const foot = clampedFoot(x, y, cx, cy, dx - cx, dy - cy)
    least = Math.min(least, Math.hypot(cx + foot * (dx - cx) - x, cy + foot * (dy - cy) - y))
  }
  return isInside(shape, x, y) ? 0 : least
}
