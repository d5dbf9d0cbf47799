import { withRoom } from './circles.ts'

/** Stands for no neighbour where an end of a gap is a joint. */
export const JOINT = -1
/** Sine of the angle by which rounding may push a cover over a joint, which lies on the boundary by construction. */
const JOINT_SLACK = 1e-4

/**
 * The stretches of one circle that no neighbour covers, narrowed neighbour by neighbour. A gap runs counter-clockwise from
 * the direction (ax, ay) to (bx, by), unit vectors from the centre; `from` and `into` number the neighbours it leaves and
 * enters. Without trigonometry: of directions u, a neighbour at d covers those with u . d >= t, so that most neighbours
 * cost two products a gap.
 */
export class CircleGaps {
  /** No neighbour has covered anything yet. */
  isWhole = true
  /** Some cover reached over a joint by more than rounding. */
  isBroken = false
  count = 0
  ax = new Float64Array(8)
  ay = new Float64Array(8)
  bx = new Float64Array(8)
  by = new Float64Array(8)
  from = new Int32Array(8)
  into = new Int32Array(8)
  /** Set by `findBounds`: the box of all directions in the gaps. */
  west = -1
  south = -1
  east = 1
  north = 1
  #startX = 0
  #startY = 0
  #endX = 0
  #endY = 0

  clear(): void {
    this.isWhole = true
    this.isBroken = false
    this.count = 0
  }

  /** Begins with one gap whose ends are joints, which no cover takes away. */
  beginWith(ax: number, ay: number, bx: number, by: number): void {
    this.clear()
    this.isWhole = false
    this.#push(JOINT)
    this.ax[0] = ax
    this.ay[0] = ay
    this.bx[0] = bx
    this.by[0] = by
  }

  get isCovered(): boolean {
    return !this.isWhole && this.count === 0
  }

  cover(): void {
    this.isWhole = false
    this.count = 0
  }

  /** Whether a neighbour at (dx, dy) that covers the directions u with u . (dx, dy) >= t takes nothing away. */
  mayPass(dx: number, dy: number, t: number): boolean {
    if (this.isWhole) return false
    for (let g = 0; g < this.count; g++) {
      if (this.ax[g]! * dx + this.ay[g]! * dy >= t || this.bx[g]! * dx + this.by[g]! * dy >= t) return false
      if (this.#isInGap(g, dx, dy)) return false
    }
    return true
  }

  /** Takes away what neighbour `j` covers: the directions u with u . (dx, dy) >= t, where |t| < distance. */
  narrow(j: number, dx: number, dy: number, distance: number, t: number): void {
    this.#findCover(dx, dy, distance, t)
    if (this.isWhole) {
      this.isWhole = false
      this.#push(j)
      return
    }
    for (let g = this.count - 1; g >= 0; g--) {
      const startDepth = this.ax[g]! * dx + this.ay[g]! * dy - t
      const endDepth = this.bx[g]! * dx + this.by[g]! * dy - t
      const coversStart = startDepth >= 0 && !this.#isJoint(this.from[g]!, startDepth, distance)
      const coversEnd = endDepth >= 0 && !this.#isJoint(this.into[g]!, endDepth, distance)
      if (!coversStart && !coversEnd && !this.#isInGap(g, dx, dy)) continue
      // Joints that rounding put under the cover keep a gap of no width.
      const keepsStart = !coversStart && startDepth >= 0
      const keepsEnd = !coversEnd && endDepth >= 0
      if (coversStart !== coversEnd) this.#trim(g, j, coversStart, coversStart ? keepsEnd : keepsStart)
      else if (!coversStart) this.#split(g, j, keepsStart, keepsEnd)
      else if (this.#isInGap(g, -dx, -dy)) {
        // Covered on both sides: what lies opposite the neighbour stays open.
        this.#trim(g, j, true, false)
        this.#trim(g, j, false, false)
      } else this.#remove(g)
    }
  }

  #isJoint(neighbour: number, depth: number, distance: number): boolean {
    if (neighbour !== JOINT) return false
    if (depth > JOINT_SLACK * distance) this.isBroken = true
    return true
  }

  /** Finds the box of all directions that are still open. */
  findBounds(): void {
    const isWhole = this.isWhole
    this.west = isWhole ? -1 : 1
    this.south = isWhole ? -1 : 1
    this.east = isWhole ? 1 : -1
    this.north = isWhole ? 1 : -1
    for (let g = 0; g < this.count; g++) {
      this.west = Math.min(this.west, this.ax[g]!, this.bx[g]!)
      this.east = Math.max(this.east, this.ax[g]!, this.bx[g]!)
      this.south = Math.min(this.south, this.ay[g]!, this.by[g]!)
      this.north = Math.max(this.north, this.ay[g]!, this.by[g]!)
      if (this.#isInGap(g, -1, 0)) this.west = -1
      if (this.#isInGap(g, 1, 0)) this.east = 1
      if (this.#isInGap(g, 0, -1)) this.south = -1
      if (this.#isInGap(g, 0, 1)) this.north = 1
    }
  }

  /** Where the cover starts and ends: the direction of the neighbour turned by the half-width either way. */
  #findCover(dx: number, dy: number, distance: number, t: number): void {
    const x = dx / distance
    const y = dy / distance
    const c = t / distance
    const s = Math.sqrt(((distance - t) / distance) * ((distance + t) / distance))
    this.#startX = x * c + y * s
    this.#startY = y * c - x * s
    this.#endX = x * c - y * s
    this.#endY = y * c + x * s
  }

  /** Whether a direction lies in a gap. */
  #isInGap(g: number, x: number, y: number): boolean {
    const ax = this.ax[g]!
    const ay = this.ay[g]!
    const bx = this.bx[g]!
    const by = this.by[g]!
    const afterStart = ax * y - ay * x
    const beforeEnd = x * by - y * bx
    const isNarrow = ax * by - ay * bx >= 0
    return isNarrow ? afterStart >= 0 && beforeEnd >= 0 : afterStart >= 0 || beforeEnd >= 0
  }

  /** Moves one end of a gap to the cover's; onto the gap's other end where that one is a joint under the cover. */
  #trim(g: number, j: number, isStart: boolean, isEmpty: boolean): void {
    if (isStart) {
      this.ax[g] = isEmpty ? this.bx[g]! : this.#endX
      this.ay[g] = isEmpty ? this.by[g]! : this.#endY
      this.from[g] = j
    } else {
      this.bx[g] = isEmpty ? this.ax[g]! : this.#startX
      this.by[g] = isEmpty ? this.ay[g]! : this.#startY
      this.into[g] = j
    }
  }

  #split(g: number, j: number, keepsStart: boolean, keepsEnd: boolean): void {
    const [bx, by, into] = [this.bx[g]!, this.by[g]!, this.into[g]!]
    this.#trim(g, j, false, keepsStart)
    const last = this.#push(j)
    this.bx[last] = bx
    this.by[last] = by
    this.into[last] = into
    if (keepsEnd) this.#trim(last, j, true, true)
  }

  /** A gap from the end of the cover round to its start. */
  #push(j: number): number {
    const g = this.count++
    if (g === this.from.length) {
      this.ax = withRoom(this.ax, g + 1)
      this.ay = withRoom(this.ay, g + 1)
      this.bx = withRoom(this.bx, g + 1)
      this.by = withRoom(this.by, g + 1)
      this.from = withRoom(this.from, g + 1)
      this.into = withRoom(this.into, g + 1)
    }
    this.#trim(g, j, true, false)
    this.#trim(g, j, false, false)
    return g
  }

  #remove(g: number): void {
    const last = --this.count
    this.ax[g] = this.ax[last]!
    this.ay[g] = this.ay[last]!
    this.bx[g] = this.bx[last]!
    this.by[g] = this.by[last]!
    this.from[g] = this.from[last]!
    this.into[g] = this.into[last]!
  }
}
