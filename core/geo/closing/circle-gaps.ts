import { withRoom } from './circles.ts'

/**
 * The stretches of one circle that no neighbour covers, narrowed neighbour by neighbour. A gap runs counter-clockwise from
 * the direction (ax, ay) to (bx, by), unit vectors from the centre; `from` and `into` number the neighbours it leaves and
 * enters. Without trigonometry: of directions u, a neighbour at d covers those with u . d >= t, so that most neighbours
 * cost two products a gap.
 */
export class CircleGaps {
  /** No neighbour has covered anything yet. */
  isWhole = true
  count = 0
  ax = new Float64Array(8)
  ay = new Float64Array(8)
  bx = new Float64Array(8)
  by = new Float64Array(8)
  from = new Int32Array(8)
  into = new Int32Array(8)
  #startX = 0
  #startY = 0
  #endX = 0
  #endY = 0

  clear(): void {
    this.isWhole = true
    this.count = 0
  }

  get isCovered(): boolean {
    return !this.isWhole && this.count === 0
  }

  cover(): void {
    this.isWhole = false
    this.count = 0
  }

  /** Takes away what neighbour `j` covers: the directions u with u . (dx, dy) >= t, where |t| < distance. */
  narrow(j: number, dx: number, dy: number, distance: number, t: number): void {
    if (this.isWhole) {
      this.#findCover(dx, dy, distance, t)
      this.isWhole = false
      this.#push(j)
      return
    }
    let isCoverKnown = false
    for (let g = this.count - 1; g >= 0; g--) {
      const coversStart = this.ax[g]! * dx + this.ay[g]! * dy >= t
      const coversEnd = this.bx[g]! * dx + this.by[g]! * dy >= t
      if (!coversStart && !coversEnd && !this.#isInGap(g, dx, dy)) continue
      if (!isCoverKnown) this.#findCover(dx, dy, distance, t)
      isCoverKnown = true
      if (coversStart !== coversEnd) this.#trim(g, j, coversStart)
      else if (!coversStart) this.#split(g, j)
      else if (this.#isInGap(g, -dx, -dy)) {
        // Covered on both sides: what lies opposite the neighbour stays open.
        this.#trim(g, j, true)
        this.#trim(g, j, false)
      } else this.#remove(g)
    }
  }

  /** Where the cover starts and ends: the direction of the neighbour turned by the half-width either way. */
  #findCover(dx: number, dy: number, distance: number, t: number): void {
    const [x, y] = [dx / distance, dy / distance]
    const c = t / distance
    const s = Math.sqrt(((distance - t) / distance) * ((distance + t) / distance))
    this.#startX = x * c + y * s
    this.#startY = y * c - x * s
    this.#endX = x * c - y * s
    this.#endY = y * c + x * s
  }

  /** Whether a direction lies in a gap. */
  #isInGap(g: number, x: number, y: number): boolean {
    const [ax, ay, bx, by] = [this.ax[g]!, this.ay[g]!, this.bx[g]!, this.by[g]!]
    const afterStart = ax * y - ay * x
    const beforeEnd = x * by - y * bx
    const isNarrow = ax * by - ay * bx >= 0
    return isNarrow ? afterStart >= 0 && beforeEnd >= 0 : afterStart >= 0 || beforeEnd >= 0
  }

  #trim(g: number, j: number, isStart: boolean): void {
    if (isStart) {
      this.ax[g] = this.#endX
      this.ay[g] = this.#endY
      this.from[g] = j
    } else {
      this.bx[g] = this.#startX
      this.by[g] = this.#startY
      this.into[g] = j
    }
  }

  #split(g: number, j: number): void {
    const [bx, by, into] = [this.bx[g]!, this.by[g]!, this.into[g]!]
    this.#trim(g, j, false)
    const last = this.#push(j)
    this.bx[last] = bx
    this.by[last] = by
    this.into[last] = into
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
    this.#trim(g, j, true)
    this.#trim(g, j, false)
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
