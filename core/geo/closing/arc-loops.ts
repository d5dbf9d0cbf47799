import type { Ring } from '../../model/geometry.ts'
import { withRoom } from './circles.ts'

/** Greatest distance between an arc and its drawn line, metres. Fixed by the definition of the outline. */
export const CHORD_ERROR = 0.05
/** With vertices moved outward so that no area is lost, lines stray up to 4/3 of this from the arc. */
const STEP_ERROR = CHORD_ERROR * 0.75
/** Sweep below which one chord stands for the arc (15 cm2 at a radius of 15 m). */
const ONE_CHORD = 0.02

/**
 * Closed loops of arcs as columns: loop l holds arcs `offsets[l]` to `offsets[l + 1]`. An arc has a centre, a radius,
 * the directions of its ends, (ax, ay) and (bx, by), and a signed sweep (positive counter-clockwise); radians and metres.
 */
export class ArcLoops {
  count = 0
  offsets = new Int32Array(16)
  /** Area inside each loop, positive counter-clockwise; exact. */
  area = new Float64Array(16)
  x = new Float64Array(64)
  y = new Float64Array(64)
  r = new Float64Array(64)
  ax = new Float64Array(64)
  ay = new Float64Array(64)
  bx = new Float64Array(64)
  by = new Float64Array(64)
  sweep = new Float64Array(64)
  #points = new Float64Array(256)

  clear(): void {
    this.count = 0
    this.offsets[0] = 0
  }

  /** Makes room for another `arcs` arcs; returns the place of the first. */
  open(arcs: number): number {
    const at = this.offsets[this.count]!
    if (at + arcs > this.x.length) {
      this.x = withRoom(this.x, at + arcs)
      this.y = withRoom(this.y, at + arcs)
      this.r = withRoom(this.r, at + arcs)
      this.ax = withRoom(this.ax, at + arcs)
      this.ay = withRoom(this.ay, at + arcs)
      this.bx = withRoom(this.bx, at + arcs)
      this.by = withRoom(this.by, at + arcs)
      this.sweep = withRoom(this.sweep, at + arcs)
    }
    return at
  }

  /** Keeps the `arcs` arcs written since `open` as a loop. */
  close(arcs: number): void {
    this.offsets = withRoom(this.offsets, this.count + 2)
    this.offsets[this.count + 1] = this.offsets[this.count]! + arcs
    this.area = withRoom(this.area, this.count + 1)
    this.area[this.count] = this.#areaOf(this.count)
    this.count++
  }

  dropLast(): void {
    this.count--
  }

  /** Green's theorem on each arc about its own centre, the centres by the shoelace formula from the first one. */
  #areaOf(loop: number): number {
    const first = this.offsets[loop]!
    const ox = this.x[first]!
    const oy = this.y[first]!
    let twice = 0
    for (let k = first; k < this.offsets[loop + 1]!; k++) {
      const r = this.r[k]!
      const dx = this.bx[k]! - this.ax[k]!
      const dy = this.by[k]! - this.ay[k]!
      twice += r * r * this.sweep[k]! + r * ((this.x[k]! - ox) * dy - (this.y[k]! - oy) * dx)
    }
    return twice / 2
  }

  length(loop: number): number {
    let length = 0
    for (let k = this.offsets[loop]!; k < this.offsets[loop + 1]!; k++) length += this.r[k]! * Math.abs(this.sweep[k]!)
    return length
  }

  /** Whether some arc of the loop runs counter-clockwise, as those of discs do. */
  hasConvexArc(loop: number): boolean {
    for (let k = this.offsets[loop]!; k < this.offsets[loop + 1]!; k++) if (this.sweep[k]! > 0) return true
    return false
  }

  /**
   * A loop as a closed ring from its lowest vertex (by x, then y), moved by (dx, dy). The ends of arcs are exact; the
   * vertices between them lie a little outside so that the drawn area is that of the arcs.
   * Accuracy: at most CHORD_ERROR from the arc.
   */
  draw(loop: number, dx: number, dy: number): Ring {
    const [first, end] = [this.offsets[loop]!, this.offsets[loop + 1]!]
    const isWhole = end - first === 1 && Math.abs(this.sweep[first]!) > 6.28
    let length = 0
    for (let k = first; k < end; k++) length = this.#drawArc(k, isWhole, length)
    const points = this.#points
    for (let i = 0; i < length; i += 2) {
      points[i]! += dx
      points[i + 1]! += dy
    }
    return ringFromLowest(points, length)
  }

  /** Writes the arc's vertices without its last one, which the next arc begins with; returns the new length. */
  #drawArc(k: number, isWhole: boolean, before: number): number {
    const x = this.x[k]!
    const y = this.y[k]!
    const r = this.r[k]!
    const sweep = Math.abs(this.sweep[k]!)
    const steps = arcSteps(r, sweep)
    const angle = sweep / steps
    const outer = r * (isWhole ? Math.sqrt(angle / Math.sin(angle)) : outwardFactor(steps, angle))
    if (before + 2 * steps > this.#points.length) this.#points = withRoom(this.#points, before + 2 * steps)
    // Turned step by step: over the few hundred steps of an arc the rounding stays below 1e-12 of the radius.
    const turnX = Math.cos(this.sweep[k]! / steps)
    const turnY = Math.sin(this.sweep[k]! / steps)
    let [c, s] = [this.ax[k]!, this.ay[k]!]
    let radius = isWhole ? outer : r
    let at = before
    for (let step = 0; step < steps; step++) {
      this.#points[at++] = x + radius * c
      this.#points[at++] = y + radius * s
      const turned = c * turnX - s * turnY
      s = s * turnX + c * turnY
      c = turned
      radius = outer
    }
    return at
  }
}

function arcSteps(radius: number, sweep: number): number {
  const angle = Math.min(Math.PI / 4, 2 * Math.acos(Math.max(0, 1 - STEP_ERROR / Math.max(radius, STEP_ERROR))))
  return Math.max(sweep > ONE_CHORD ? 2 : 1, Math.ceil(sweep / angle))
}

/** How far out the inner vertices of an arc in `steps` lie: (n - 2) q2 + 2 q = n angle / sin(angle), ends at 1. */
function outwardFactor(steps: number, angle: number): number {
  if (steps === 1) return 1
  const target = (steps * angle) / Math.sin(angle)
  if (steps === 2) return target / 2
  return (Math.sqrt(1 + (steps - 2) * target) - 1) / (steps - 2)
}

function ringFromLowest(points: Float64Array, length: number): Ring {
  let lowest = 0
  for (let i = 2; i < length; i += 2) {
    const dx = points[i]! - points[lowest]!
    if (dx < 0 || (dx === 0 && points[i + 1]! < points[lowest + 1]!)) lowest = i
  }
  const ring = new Float64Array(length + 2)
  ring.set(points.subarray(lowest, length))
  ring.set(points.subarray(0, lowest), length - lowest)
  ring[length] = ring[0]!
  ring[length + 1] = ring[1]!
  return ring
}
