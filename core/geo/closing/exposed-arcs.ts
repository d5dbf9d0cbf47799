import { CircleGaps, JOINT } from './circle-gaps.ts'
import type { CircleGrid } from './circle-grid.ts'
import { type Circles, clearedFlags, withRoom } from './circles.ts'

const TURN = 2 * Math.PI

/** The angle from one unit vector counter-clockwise to another, in [0, 2 pi); what rounding pushes below 0 counts as 0. */
export function sweepBetween(ax: number, ay: number, bx: number, by: number): number {
  const sweep = Math.atan2(ax * by - ay * bx, ax * bx + ay * by)
  return sweep >= 0 ? sweep : sweep > -1e-12 ? 0 : sweep + TURN
}

/**
 * The boundary of a union of circles as arcs, counter-clockwise on their circles, grouped by circle.
 * Arc k runs on `circle[k]` from direction (ax, ay) by `sweep` to (bx, by), unit vectors from the centre; it begins where
 * the boundary leaves circle `from[k]` and ends where it enters circle `into[k]` (both -1 for a whole circle). `first[c]`
 * is the first arc of circle c. The columns hold `count` arcs and keep their memory from set to set.
 */
export class ExposedArcs {
  count = 0
  circle = new Int32Array(64)
  ax = new Float64Array(64)
  ay = new Float64Array(64)
  bx = new Float64Array(64)
  by = new Float64Array(64)
  sweep = new Float64Array(64)
  from = new Int32Array(64)
  into = new Int32Array(64)
  first = new Int32Array(64)
  /** By arc, the one that follows it on the boundary; set by `link`. */
  next = new Int32Array(64)
  #isTaken = new Uint8Array(64)
  readonly #gaps = new CircleGaps()

  /**
   * Finds the arcs of the first `total` circles, no two the same, which fill `grid`.
   * Cost: about n for circles of like size that are not all in one spot.
   */
  expose(circles: Circles, total: number, grid: CircleGrid): void {
    this.count = 0
    this.first = withRoom(this.first, total + 1)
    for (let i = 0; i < total; i++) {
      this.first[i] = this.count
      this.#findGaps(circles, i, grid)
      if (this.#gaps.isWhole) this.#pushWhole(i)
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

  /** A few neighbours of the own cell cover most circles whole; for the others only what comes near the open arcs is looked at. */
  #findGaps(circles: Circles, i: number, grid: CircleGrid): void {
    const gaps = this.#gaps
    gaps.clear()
    const few = grid.sampleOwnCells(i)
    this.#narrowGaps(circles, i, grid.found, few)
    if (gaps.isCovered) return
    gaps.findBounds()
    const x = circles.x[i]!
    const y = circles.y[i]!
    const r = circles.r[i]!
    const total = grid.collectAround(i, x + r * gaps.west, y + r * gaps.south, x + r * gaps.east, y + r * gaps.north)
    this.#narrowGaps(circles, i, grid.found, total)
  }

  #narrowGaps({ x, y, r }: Circles, i: number, neighbours: Int32Array, total: number): void {
    const gaps = this.#gaps
    const cx = x[i]!
    const cy = y[i]!
    const own = r[i]!
    const share = 0.5 / own
    for (let k = 0; k < total && !gaps.isCovered; k++) {
      const j = neighbours[k]!
      const dx = x[j]! - cx
      const dy = y[j]! - cy
      const square = dx * dx + dy * dy
      const t = (square + (own - r[j]!) * (own + r[j]!)) * share
      if (gaps.mayPass(dx, dy, t)) continue
      const distance = Math.sqrt(square)
      if (t <= -distance) gaps.cover()
      else if (t < distance) gaps.narrow(j, dx, dy, distance, t)
    }
  }

  #pushWhole(circle: number): void {
    const k = this.#push(circle)
    this.ax[k] = 1
    this.ay[k] = 0
    this.bx[k] = 1
    this.by[k] = 0
    this.sweep[k] = TURN
    this.from[k] = JOINT
    this.into[k] = JOINT
  }

  #pushGaps(circle: number): void {
    const gaps = this.#gaps
    const first = this.count
    for (let g = 0; g < gaps.count; g++) {
      // In order of their starts, so that the order of the neighbours never shows.
      let k = this.#push(circle)
      for (; k > first && isAfter(this.ax[k - 1]!, this.ay[k - 1]!, gaps.ax[g]!, gaps.ay[g]!); k--) this.#shift(k)
      this.ax[k] = gaps.ax[g]!
      this.ay[k] = gaps.ay[g]!
      this.bx[k] = gaps.bx[g]!
      this.by[k] = gaps.by[g]!
      this.sweep[k] = sweepBetween(gaps.ax[g]!, gaps.ay[g]!, gaps.bx[g]!, gaps.by[g]!)
      this.from[k] = gaps.from[g]!
      this.into[k] = gaps.into[g]!
    }
  }

  /** Moves the arc before place k to it. */
  #shift(k: number): void {
    this.ax[k] = this.ax[k - 1]!
    this.ay[k] = this.ay[k - 1]!
    this.bx[k] = this.bx[k - 1]!
    this.by[k] = this.by[k - 1]!
    this.sweep[k] = this.sweep[k - 1]!
    this.from[k] = this.from[k - 1]!
    this.into[k] = this.into[k - 1]!
  }

  #push(circle: number): number {
    const k = this.count++
    if (k === this.circle.length) {
      this.circle = withRoom(this.circle, k + 1)
      this.ax = withRoom(this.ax, k + 1)
      this.ay = withRoom(this.ay, k + 1)
      this.bx = withRoom(this.bx, k + 1)
      this.by = withRoom(this.by, k + 1)
      this.sweep = withRoom(this.sweep, k + 1)
      this.from = withRoom(this.from, k + 1)
      this.into = withRoom(this.into, k + 1)
    }
    this.circle[k] = circle
    return k
  }
}

/** Whether direction a comes after b, counted counter-clockwise from the east. */
function isAfter(ax: number, ay: number, bx: number, by: number): boolean {
  const [aLower, bLower] = [ay < 0, by < 0]
  if (aLower !== bLower) return aLower
  return ax < bx !== aLower && ax !== bx
}
