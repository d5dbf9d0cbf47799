import type { Ring } from '../model/index.ts'
import { CHORD_ERROR } from './closing-engine.ts'

/** An arc of a loop: centre, radius, start angle and signed sweep (positive counter-clockwise), radians and metres. */
export interface Arc {
  readonly x: number
  readonly y: number
  readonly r: number
  readonly start: number
  readonly sweep: number
}

/** Whole loops from a follower a node; each starts at its lowest node. */
export function traceLoops(next: Int32Array, isLive?: (node: number) => boolean): number[][] {
  const isSeen = new Uint8Array(next.length)
  const loops: number[][] = []
  for (let head = 0; head < next.length; head++) {
    if (isSeen[head] === 1 || (isLive && !isLive(head))) continue
    const loop: number[] = []
    for (let node = head; isSeen[node] === 0; node = next[node]!) {
      isSeen[node] = 1
      loop.push(node)
    }
    loops.push(loop)
  }
  return loops
}

/**
 * Area inside a loop of arcs, positive counter-clockwise; exact.
 * Green's theorem on each arc about its own centre, the centres by the shoelace formula from the first one.
 */
export function loopArea(loop: readonly Arc[]): number {
  const [ox, oy] = [loop[0]!.x, loop[0]!.y]
  let twice = 0
  for (const { x, y, r, start, sweep } of loop) {
    const end = start + sweep
    const [dx, dy] = [Math.cos(end) - Math.cos(start), Math.sin(end) - Math.sin(start)]
    twice += r * r * sweep + r * ((x - ox) * dy - (y - oy) * dx)
  }
  return twice / 2
}

export const loopLength = (loop: readonly Arc[]): number =>
  loop.reduce((sum, arc) => sum + arc.r * Math.abs(arc.sweep), 0)

/** With vertices moved outward so that no area is lost, lines stray up to 4/3 of this from the arc. */
const STEP_ERROR = CHORD_ERROR * 0.75
/** Sweep below which one chord stands for the arc (15 cm2 at a radius of 15 m). */
const ONE_CHORD = 0.02

/**
 * A loop of arcs as a closed ring, moved by (dx, dy). The ends of arcs are exact; the vertices between them lie a little
 * outside so that the drawn area is that of the arcs. Accuracy: at most CHORD_ERROR from the arc.
 */
export function drawLoop(loop: readonly Arc[], dx: number, dy: number): Ring {
  const isWhole = loop.length === 1 && Math.abs(loop[0]!.sweep) > 6.28
  const points: number[] = []
  for (const arc of loop) drawArc(arc, dx, dy, isWhole, points)
  points.push(points[0]!, points[1]!)
  return Float64Array.from(points)
}

/** Pushes the arc's vertices without its last one, which the next arc begins with. */
function drawArc(arc: Arc, dx: number, dy: number, isWhole: boolean, points: number[]): void {
  const sweep = Math.abs(arc.sweep)
  const steps = arcSteps(arc.r, sweep)
  const angle = sweep / steps
  const outer = arc.r * (isWhole ? Math.sqrt(angle / Math.sin(angle)) : outwardFactor(steps, angle))
  for (let k = 0; k < steps; k++) {
    const at = arc.start + (arc.sweep * k) / steps
    const radius = k === 0 && !isWhole ? arc.r : outer
    points.push(arc.x + dx + radius * Math.cos(at), arc.y + dy + radius * Math.sin(at))
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
