import { CircleGaps } from './circle-gaps.ts'
import type { CircleGrid } from './circle-grid.ts'
import { type Circles, clearedFlags, withRoom } from './circles.ts'

const TURN = 2 * Math.PI

/** The angle in [0, 2 pi). */
export function turn(angle: number): number {
  const rest = angle % TURN
  return rest < 0 ? rest + TURN : rest
}

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
  #isTaken = new Uint8Array(64)
  readonly #gaps = new CircleGaps()

  /** Finds the arcs of the first `total` circles, which fill `grid`. Cost: about n for circles of like size that are not all in one spot. */
  expose(circles: Circles, total: number, grid: CircleGrid): void {
    this.count = 0
    this.first = withRoom(this.first, total + 1)
    for (let i = 0; i < total; i++) {
      this.first[i] = this.count
      this.#findGaps(circles, i, grid)
      if (this.#gaps.isWhole) this.#push(i, 0, TURN, -1, -1)
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
    const isTaken = clearedFlags(this.#isTaken, this.count)
    this.#isTaken = isTaken
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

  #findGaps(circles: Circles, i: number, grid: CircleGrid): void {
    this.#gaps.clear()
    const near = grid.collectNear(i)
    this.#narrowGaps(circles, i, grid.found, near)
    if (this.#gaps.isCovered) return
    const beyond = grid.collectBeyond(i)
    this.#narrowGaps(circles, i, grid.found, beyond)
  }

  #narrowGaps({ x, y, r }: Circles, i: number, neighbours: Int32Array, total: number): void {
    const gaps = this.#gaps
    const own = r[i]!
    for (let k = 0; k < total && !gaps.isCovered; k++) {
      const j = neighbours[k]!
      const dx = x[j]! - x[i]!
      const dy = y[j]! - y[i]!
      const square = dx * dx + dy * dy
      const t = (square + (own - r[j]!) * (own + r[j]!)) / (2 * own)
      const distance = Math.sqrt(square)
      if (distance === 0 && own === r[j]) {
        // Of two circles that are one to the last bit, the first stands.
        if (j < i) gaps.cover()
      } else if (t <= -distance) gaps.cover()
      else if (t < distance) gaps.narrow(j, dx, dy, distance, t)
    }
  }

  #pushGaps(circle: number): void {
    const gaps = this.#gaps
    const first = this.count
    for (let g = 0; g < gaps.count; g++) {
      const start = turn(Math.atan2(gaps.ay[g]!, gaps.ax[g]!))
      let end = turn(Math.atan2(gaps.by[g]!, gaps.bx[g]!))
      if (end < start) end += TURN
      this.#push(circle, start, end, gaps.from[g]!, gaps.into[g]!)
    }
    // In order of their starts, so that the order of the neighbours never shows.
    for (let k = first + 1; k < this.count; k++) {
      for (let at = k; at > first && this.start[at - 1]! > this.start[at]!; at--) this.#swap(at - 1, at)
    }
  }

  #swap(a: number, b: number): void {
    for (const column of [this.start, this.end, this.from, this.into]) {
      const value = column[a]!
      column[a] = column[b]!
      column[b] = value
    }
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
