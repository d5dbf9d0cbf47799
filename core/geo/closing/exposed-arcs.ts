import type { CircleGrid } from './circle-grid.ts'
import { type Circles, withRoom } from './circles.ts'

const TURN = 2 * Math.PI

/** The angle in [0, 2 pi). */
export function turn(angle: number): number {
  const rest = angle % TURN
  return rest < 0 ? rest + TURN : rest
}

/**
 * In a crowd a circle is mostly covered by any few of its neighbours: slots of the circle that one neighbour covers
 * whole are ticked off, and the rest of the neighbours need no look once all are. The stride takes neighbours from all
 * sides early, since their order follows the grid.
 */
const SLOTS = 64
const CROWDED = 12
const STRIDE = 7919
/** Up to this many covers are sorted by insertion. */
const SHORT = 32

/**
 * The boundary of a union of circles as arcs, counter-clockwise on their circles, grouped by circle.
 * Arc k runs on `circle[k]` from angle `start[k]` to `end[k]`; it begins where the boundary leaves circle `from[k]`
 * and ends where it enters circle `into[k]` (both -1 for a whole circle). `first[c]` is the first arc of circle c.
 * The columns hold `count` arcs and keep their memory from set to set.
 */
export class ExposedArcs {
  count = 0
  circle = new Int32Array(64)
  start = new Float64Array(64)
  end = new Float64Array(64)
  from = new Int32Array(64)
  into = new Int32Array(64)
  first = new Int32Array(64)
  /** By arc, the one that follows it on the boundary; set by `link`. */
  next = new Int32Array(64)
  #coverStart = new Float64Array(64)
  #coverEnd = new Float64Array(64)
  #coverBy = new Int32Array(64)
  #order = new Int32Array(64)
  #covers = 0
  readonly #slots = new Uint8Array(SLOTS)

  /** Finds the arcs; `grid` is filled with the circles. Cost: about n log n for circles of like size that are not all in one spot. */
  expose(circles: Circles, grid: CircleGrid): void {
    const total = circles.r.length
    this.count = 0
    this.first = withRoom(this.first, total + 1)
    for (let i = 0; i < total; i++) {
      this.first[i] = this.count
      if (!this.#findCovers(circles, i, grid)) continue
      if (this.#covers === 0) this.#push(i, 0, TURN, -1, -1)
      else this.#pushGaps(i)
    }
    this.first[total] = this.count
  }

  /**
   * Sets `next`: the arc of the circle that an arc enters which leaves its own. False when some arc has no follower or
   * two share one, which only rounding can bring about.
   */
  link(): boolean {
    this.next = withRoom(this.next, this.count)
    const isTaken = new Uint8Array(this.count)
    for (let k = 0; k < this.count; k++) {
      const follower = this.into[k]! < 0 ? k : this.#findArc(this.into[k]!, this.circle[k]!)
      if (follower < 0 || isTaken[follower] === 1) return false
      isTaken[follower] = 1
      this.next[k] = follower
    }
    return true
  }

  #findArc(circle: number, from: number): number {
    const end = this.first[circle + 1]!
    for (let k = this.first[circle]!; k < end; k++) if (this.from[k] === from) return k
    return -1
  }

  /** The stretches of circle i that lie in its neighbours, in order of their starts; false when they cover it whole. */
  #findCovers({ x, y, r }: Circles, i: number, grid: CircleGrid): boolean {
    const total = grid.collect(i)
    const { found } = grid
    this.#reserveCovers(total)
    this.#covers = 0
    const isCrowded = total >= CROWDED
    if (isCrowded) this.#slots.fill(0)
    let open = SLOTS
    const stride = total % STRIDE === 0 ? 1 : STRIDE
    for (let k = 0; k < total; k++) {
      const j = found[isCrowded ? (k * stride) % total : k]!
      const [dx, dy] = [x[j]! - x[i]!, y[j]! - y[i]!]
      const distance = Math.sqrt(dx * dx + dy * dy)
      if (distance + r[i]! <= r[j]!) {
        // Of two circles that are one to the last bit, the first stands.
        const isTwin = distance === 0 && r[i] === r[j]
        if (!isTwin || j < i) return false
        continue
      }
      if (distance + r[j]! <= r[i]!) continue
      const cosine = (distance * distance + (r[i]! - r[j]!) * (r[i]! + r[j]!)) / (2 * distance * r[i]!)
      const half = Math.acos(Math.min(1, Math.max(-1, cosine)))
      const start = turn(Math.atan2(dy, dx) - half)
      this.#coverStart[this.#covers] = start
      this.#coverEnd[this.#covers] = start + 2 * half
      this.#coverBy[this.#covers++] = j
      if (!isCrowded) continue
      open -= this.#tickSlots(start, start + 2 * half)
      if (open === 0) return false
    }
    this.#sortCovers()
    return true
  }

  #reserveCovers(size: number): void {
    if (size <= this.#order.length) return
    this.#coverStart = withRoom(this.#coverStart, size)
    this.#coverEnd = withRoom(this.#coverEnd, size)
    this.#coverBy = withRoom(this.#coverBy, size)
    this.#order = withRoom(this.#order, size)
  }

  /** Ticks the slots that lie whole within [start, end]; how many of them were open. */
  #tickSlots(start: number, end: number): number {
    const width = TURN / SLOTS
    let filled = 0
    const last = Math.floor(end / width)
    for (let slot = Math.ceil(start / width); slot < last; slot++) {
      if (this.#slots[slot % SLOTS] === 1) continue
      this.#slots[slot % SLOTS] = 1
      filled++
    }
    return filled
  }

  #sortCovers(): void {
    const [starts, by, order] = [this.#coverStart, this.#coverBy, this.#order]
    const isAfter = (a: number, b: number) => starts[a]! > starts[b]! || (starts[a] === starts[b] && by[a]! > by[b]!)
    for (let k = 0; k < this.#covers; k++) order[k] = k
    if (this.#covers > SHORT) {
      order.subarray(0, this.#covers).sort((a, b) => starts[a]! - starts[b]! || by[a]! - by[b]!)
      return
    }
    for (let k = 1; k < this.#covers; k++) {
      const cover = order[k]!
      let at = k
      for (; at > 0 && isAfter(order[at - 1]!, cover); at--) order[at] = order[at - 1]!
      order[at] = cover
    }
  }

  #pushGaps(circle: number): void {
    const head = this.#order[0]!
    let [reach, by] = [Number.NEGATIVE_INFINITY, -1]
    for (let k = 0; k < this.#covers; k++) {
      const end = this.#coverEnd[k]!
      if (end >= TURN && end - TURN > reach) [reach, by] = [end - TURN, this.#coverBy[k]!]
    }
    const hasWrap = by >= 0
    for (let k = 0; k < this.#covers; k++) {
      const cover = this.#order[k]!
      const start = this.#coverStart[cover]!
      if (by >= 0 && start > reach) this.#push(circle, reach, start, by, this.#coverBy[cover]!)
      if (this.#coverEnd[cover]! > reach) [reach, by] = [this.#coverEnd[cover]!, this.#coverBy[cover]!]
    }
    const again = this.#coverStart[head]! + TURN
    if (!hasWrap && again > reach) this.#push(circle, reach, again, by, this.#coverBy[head]!)
  }

  #push(circle: number, start: number, end: number, from: number, into: number): void {
    const k = this.count++
    if (k === this.circle.length) {
      this.circle = withRoom(this.circle, k + 1)
      this.start = withRoom(this.start, k + 1)
      this.end = withRoom(this.end, k + 1)
      this.from = withRoom(this.from, k + 1)
      this.into = withRoom(this.into, k + 1)
    }
    this.circle[k] = circle
    this.start[k] = start
    this.end[k] = end
    this.from[k] = from
    this.into[k] = into
  }
}
