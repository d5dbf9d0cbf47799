import { type Circles, groupCircles } from '../geo/index.ts'
import type { JoinBreaks } from './join-breaks.ts'

/** Rounding of coordinates must not part discs that touch, metres. */
const TOUCH = 1e-6

/**
 * Groups of discs that hang together when each is grown by `half`; touching counts. Where `breaks` are given, two discs
 * that do not overlap themselves are not joined along a line that leads through one and out again.
 * Shapes: one group number a disc, counted in the order of the first disc.
 */
export function groupDiscs(discs: Circles, half: number, breaks: JoinBreaks | null): Int32Array {
  const { x, y, r } = discs
  const grown: Circles = { x, y, r: r.map(radius => radius + half + TOUCH) }
  if (breaks === null) return groupCircles(grown)
  const isOverlapping = (i: number, j: number) => Math.hypot(x[i]! - x[j]!, y[i]! - y[j]!) <= r[i]! + r[j]! + TOUCH
  return groupCircles(grown, (i, j) => isOverlapping(i, j) || !breaks.arePassed(x[i]!, y[i]!, x[j]!, y[j]!))
}
