import type { MultiPolygon, Ring } from '../model/geometry.ts'
import { boxOf, signedRingArea } from './planar.ts'

/** Ground shared by two shapes in the plane. */
export interface Overlap {
  readonly area: number
  /** Its centre of mass; NaN where nothing is shared. */
  readonly x: number
  readonly y: number
}

/** Edges a slab at about; slabs are upright and of one width. */
const EDGES_A_SLAB = 4

/**
 * Prepares a shape for measuring what other shapes share with it. The shapes are valid; which way their rings run does not
 * matter.
 * The ground under an edge, down to a common floor, counts plus or minus by the way the edge runs; of two shapes it is shared
 * where two such columns are. No crossing is computed, so shapes that touch, share edges or vertices, or hold each other
 * need no case of their own.
 * Accuracy and cost: 1e-12 of the boxes' area; a product of the edges that lie over each other.
 */
export function prepareOverlap(shape: MultiPolygon): (other: MultiPolygon) => Overlap {
  const slabs = sortEdges(shape)
  return other => {
    const box = boxOf(other)
    if (box === undefined || slabs === null) return { area: 0, x: Number.NaN, y: Number.NaN }
    const sums = new Float64Array(3)
    // Worked about the other's own corner: small parcels of large coordinates keep their digits.
    const [ox, oy] = [box[0], box[1]]
    const near = slabs.over(box[0], box[2], box[1])
    for (const polygon of other) {
      for (const [i, ring] of polygon.entries()) addRing(sums, ring, { sign: signOf(ring, i), slabs, near, ox, oy })
    }
    const [area, momentX, momentY] = [sums[0]!, sums[1]!, sums[2]!]
    const isAny = area > 0
    return { area: Math.max(0, area), x: isAny ? ox + momentX / area : NaN, y: isAny ? oy + momentY / area : NaN }
  }
}

/** 1 or -1, so that outer rings count as ground and holes as none, whichever way they run. */
const signOf = (ring: Ring, index: number): number => (signedRingArea(ring) > 0 === (index === 0) ? 1 : -1)

/** Edges with x1 < x2 and the weight with which the ground under them counts; upright edges have none under them. */
interface Slabs {
  readonly x1: Float64Array
  readonly y1: Float64Array
  readonly x2: Float64Array
  readonly y2: Float64Array
  readonly weight: Float64Array
  /** Edges over a stretch of x that reach above `floor`. */
  over(west: number, east: number, floor: number): readonly number[]
}

function sortEdges(shape: MultiPolygon): Slabs | null {
  const box = boxOf(shape)
  if (box === undefined) return null
  const rings = shape.flatMap(polygon => polygon.map((ring, i) => ({ ring, sign: signOf(ring, i) })))
  const most = rings.reduce((sum, { ring }) => sum + ring.length / 2, 0)
  const [x1, y1, x2, y2] = [
    new Float64Array(most),
    new Float64Array(most),
    new Float64Array(most),
    new Float64Array(most),
  ]
  const weight = new Float64Array(most)
  let count = 0
  for (const { ring, sign } of rings) {
    for (let i = 2; i < ring.length; i += 2) {
      if (ring[i - 2] === ring[i]) continue
      // Counter-clockwise, ground lies under the edges that run west.
      const isWest = ring[i]! < ring[i - 2]!
      const [a, b] = isWest ? [i, i - 2] : [i - 2, i]
      x1[count] = ring[a]!
      y1[count] = ring[a + 1]!
      x2[count] = ring[b]!
      y2[count] = ring[b + 1]!
      weight[count++] = isWest ? sign : -sign
    }
  }
  const [west, , east] = box
  const slabCount = Math.max(1, Math.ceil(count / EDGES_A_SLAB))
  const width = (east - west) / slabCount
  const slabOf = (x: number) => Math.max(0, Math.min(slabCount - 1, Math.floor((x - west) / width)))
  const members: number[][] = Array.from({ length: slabCount }, () => [])
  for (let e = 0; e < count; e++) for (let s = slabOf(x1[e]!); s <= slabOf(x2[e]!); s++) members[s]!.push(e)
  return {
    x1,
    y1,
    x2,
    y2,
    weight,
    over(from, to, floor) {
      if (from > east || to < west) return []
      const [first, last] = [slabOf(from), slabOf(to)]
      const found: number[] = []
      for (let s = first; s <= last; s++) {
        for (const e of members[s]!) {
          // An edge over several slabs is taken in the first of them.
          if (s > first && slabOf(x1[e]!) < s) continue
          if (x1[e]! < to && x2[e]! > from && (y1[e]! > floor || y2[e]! > floor)) found.push(e)
        }
      }
      return found
    },
  }
}

interface RingWork {
  readonly sign: number
  readonly slabs: Slabs
  readonly near: readonly number[]
  readonly ox: number
  readonly oy: number
}

function addRing(sums: Float64Array, ring: Ring, { sign, slabs, near, ox, oy }: RingWork): void {
  const { x1, y1, x2, y2, weight } = slabs
  for (let i = 2; i < ring.length; i += 2) {
    if (ring[i - 2] === ring[i]) continue
    const isWest = ring[i]! < ring[i - 2]!
    const [a, b] = isWest ? [i, i - 2] : [i - 2, i]
    const own = isWest ? sign : -sign
    const [ax, ay] = [ring[a]! - ox, ring[a + 1]! - oy]
    const [bx, by] = [ring[b]! - ox, ring[b + 1]! - oy]
    const slope = (by - ay) / (bx - ax)
    for (const e of near) {
      const [ex, fx] = [x1[e]! - ox, x2[e]! - ox]
      const from = Math.max(ex, ax)
      const to = Math.min(fx, bx)
      if (!(to > from)) continue
      const [ey, fy] = [y1[e]! - oy, y2[e]! - oy]
      const otherSlope = (fy - ey) / (fx - ex)
      const [p1, p2] = [ay + slope * (from - ax), ay + slope * (to - ax)]
      const [q1, q2] = [ey + otherSlope * (from - ex), ey + otherSlope * (to - ex)]
      addLower(sums, own * weight[e]!, [from, to, p1, p2, q1, q2])
    }
  }
}

/** Adds the ground under the lower of two lines over a stretch, each given by its heights at the ends. */
function addLower(
  sums: Float64Array,
  weight: number,
  [from, to, p1, p2, q1, q2]: readonly [number, number, number, number, number, number],
): void {
  const [d1, d2] = [p1 - q1, p2 - q2]
  if (d1 <= 0 && d2 <= 0) addStrip(sums, weight, from, to, p1, p2)
  else if (d1 >= 0 && d2 >= 0) addStrip(sums, weight, from, to, q1, q2)
  else {
    const t = d1 / (d1 - d2)
    const [x, y] = [from + t * (to - from), p1 + t * (p2 - p1)]
    addStrip(sums, weight, from, x, d1 < 0 ? p1 : q1, y)
    addStrip(sums, weight, x, to, y, d2 < 0 ? p2 : q2)
  }
}

/** Area and moments of the ground between a line and the floor; what lies under the floor does not count. */
function addStrip(sums: Float64Array, weight: number, from: number, to: number, left: number, right: number): void {
  let [x1, x2, y1, y2] = [from, to, left, right]
  if (y1 <= 0 && y2 <= 0) return
  if (y1 < 0 || y2 < 0) {
    const zero = x1 + (y1 / (y1 - y2)) * (x2 - x1)
    if (y1 < 0) {
      x1 = zero
      y1 = 0
    } else {
      x2 = zero
      y2 = 0
    }
  }
  const width = weight * (x2 - x1)
  sums[0]! += (width * (y1 + y2)) / 2
  sums[1]! += (width * (x1 * (2 * y1 + y2) + x2 * (y1 + 2 * y2))) / 6
  sums[2]! += (width * (y1 * y1 + y1 * y2 + y2 * y2)) / 6
}

/** Edges up to which a ring is looked over pair by pair. */
const FEW_EDGES = 40

/** Whether a polygon of one short ring plainly does not cross itself; false also where that would take longer to tell. */
export function isPlainlySimple(shape: MultiPolygon): boolean {
  const ring = shape[0]?.[0]
  if (shape.length !== 1 || shape[0]!.length !== 1 || ring === undefined) return false
  const edges = ring.length / 2 - 1
  if (edges < 3 || edges > FEW_EDGES) return false
  for (let i = 0; i < edges; i++) {
    for (let j = i + 2; j < edges; j++) {
      if (i === 0 && j === edges - 1) continue
      if (mayMeet(ring, 2 * i, 2 * j)) return false
    }
  }
  return true
}

/** Whether two edges touch or cross, or come so close that rounding decides. */
function mayMeet(ring: Ring, a: number, b: number): boolean {
  const side = (o: number, p: number): number =>
    Math.sign(
      (ring[o + 2]! - ring[o]!) * (ring[p + 1]! - ring[o + 1]!) - (ring[o + 3]! - ring[o + 1]!) * (ring[p]! - ring[o]!),
    )
  return side(a, b) * side(a, b + 2) <= 0 && side(b, a) * side(b, a + 2) <= 0
}
