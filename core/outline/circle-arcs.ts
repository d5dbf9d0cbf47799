import { buildCircleGrid, type Circles } from './circle-grid.ts'

const TURN = 2 * Math.PI

/**
 * The boundary of a union of circles as arcs, counter-clockwise on their circles, grouped by circle.
 * Arc k runs on `circle[k]` from angle `start[k]` to `end[k]`; it begins where the boundary leaves circle `from[k]`
 * and ends where it enters circle `into[k]` (both -1 for a whole circle). `first[c]` is the first arc of circle c.
 */
export interface CircleArcs {
  readonly circle: readonly number[]
  readonly start: readonly number[]
  readonly end: readonly number[]
  readonly from: readonly number[]
  readonly into: readonly number[]
  readonly first: Uint32Array
}

interface Cover {
  readonly start: number
  readonly end: number
  readonly by: number
}

/** The exposed arcs of circles. Cost: about n log n for circles of like size that are not all in one spot. */
export function exposeArcs(circles: Circles): CircleArcs {
  const grid = buildCircleGrid(circles)
  const count = circles.r.length
  const arcs = { circle: [], start: [], end: [], from: [], into: [] } as Record<
    'circle' | 'start' | 'end' | 'from' | 'into',
    number[]
  >
  const first = new Uint32Array(count + 1)
  for (let i = 0; i < count; i++) {
    first[i] = arcs.circle.length
    const covers = coversOf(circles, i, grid.neighbours(i))
    if (covers === null) continue
    const push = (start: number, end: number, from: number, into: number) => {
      arcs.circle.push(i)
      arcs.start.push(start)
      arcs.end.push(end)
      arcs.from.push(from)
      arcs.into.push(into)
    }
    if (covers.length === 0) push(0, TURN, -1, -1)
    else pushGaps(covers, push)
  }
  first[count] = arcs.circle.length
  return { ...arcs, first }
}

/** The stretches of circle i that lie in its neighbours; null when they cover it whole. */
function coversOf({ x, y, r }: Circles, i: number, neighbours: readonly number[]): Cover[] | null {
  const covers: Cover[] = []
  const count = neighbours.length
  const slots = new Uint8Array(count < CROWDED ? 0 : SLOTS)
  let open = SLOTS
  const stride = count % STRIDE === 0 ? 1 : STRIDE
  for (let k = 0; k < count; k++) {
    const j = neighbours[(k * stride) % count]!
    const [dx, dy] = [x[j]! - x[i]!, y[j]! - y[i]!]
    const distance = Math.hypot(dx, dy)
    if (distance + r[i]! <= r[j]!) {
      // Of two circles that are one to the last bit, the first stands.
      const isTwin = distance === 0 && r[i] === r[j]
      if (!isTwin || j < i) return null
      continue
    }
    if (distance + r[j]! <= r[i]!) continue
    const cosine = (distance * distance + (r[i]! - r[j]!) * (r[i]! + r[j]!)) / (2 * distance * r[i]!)
    const half = Math.acos(Math.min(1, Math.max(-1, cosine)))
    const start = turn(Math.atan2(dy, dx) - half)
    covers.push({ start, end: start + 2 * half, by: j })
    if (count < CROWDED) continue
    open -= fillSlots(slots, start, start + 2 * half)
    if (open === 0) return null
  }
  return covers.sort((a, b) => a.start - b.start || a.by - b.by)
}

/**
 * In a crowd a circle is mostly covered by any few of its neighbours: slots of the circle that one neighbour covers
 * whole are ticked off, and the rest of the neighbours need no look once all are. The stride takes neighbours from all
 * sides early, since their order follows the grid.
 */
const SLOTS = 64
const CROWDED = 12
const STRIDE = 7919

/** Ticks the slots that lie whole within [start, end]; how many of them were open. */
function fillSlots(slots: Uint8Array, start: number, end: number): number {
  const width = TURN / SLOTS
  let filled = 0
  const last = Math.floor(end / width)
  for (let slot = Math.ceil(start / width); slot < last; slot++) {
    if (slots[slot % SLOTS] === 1) continue
    slots[slot % SLOTS] = 1
    filled++
  }
  return filled
}

function pushGaps(
  covers: readonly Cover[],
  push: (start: number, end: number, from: number, into: number) => void,
): void {
  const head = covers[0]!
  let [reach, by] = [Number.NEGATIVE_INFINITY, -1]
  for (const cover of covers) {
    if (cover.end - TURN > reach && cover.end >= TURN) [reach, by] = [cover.end - TURN, cover.by]
  }
  const hasWrap = by >= 0
  for (const cover of covers) {
    if (by >= 0 && cover.start > reach) push(reach, cover.start, by, cover.by)
    if (cover.end > reach) [reach, by] = [cover.end, cover.by]
  }
  if (!hasWrap && head.start + TURN > reach) push(reach, head.start + TURN, by, head.by)
}

/** The angle in [0, 2 pi). */
export function turn(angle: number): number {
  const rest = angle % TURN
  return rest < 0 ? rest + TURN : rest
}

/**
 * For each arc the one that follows it on the boundary: the arc of the circle that it enters which leaves its own.
 * Null when some arc has no follower or two share one, which only rounding can bring about.
 */
export function linkArcs(arcs: CircleArcs): Int32Array | null {
  const count = arcs.circle.length
  const next = new Int32Array(count)
  const isTaken = new Uint8Array(count)
  for (let k = 0; k < count; k++) {
    const follower = arcs.into[k]! < 0 ? k : findArc(arcs, arcs.into[k]!, arcs.circle[k]!)
    if (follower < 0 || isTaken[follower] === 1) return null
    isTaken[follower] = 1
    next[k] = follower
  }
  return next
}

function findArc(arcs: CircleArcs, circle: number, from: number): number {
  for (let k = arcs.first[circle]!; k < arcs.first[circle + 1]!; k++) if (arcs.from[k] === from) return k
  return -1
}
