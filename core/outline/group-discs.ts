import { CircleGrid, type Circles } from '../geo/index.ts'
import type { JoinBreaks } from './join-breaks.ts'

/**
 * Groups of discs that hang together when each is grown by `half`; touching counts. Where `breaks` are given, two discs
 * that do not overlap themselves are not joined along a line that leads through one and out again.
 * Shapes: one group number a disc, counted in the order of the first disc.
 */
export function groupDiscs(discs: Circles, half: number, breaks: JoinBreaks | null): Int32Array {
  const grown: Circles = { x: discs.x, y: discs.y, r: discs.r.map(r => r + half + TOUCH) }
  const grid = new CircleGrid()
  grid.fill(grown)
  const parent = Int32Array.from(discs.r, (_, i) => i)
  for (let i = 0; i < discs.r.length; i++) {
    const total = grid.collect(i)
    for (let k = 0; k < total; k++) {
      const j = grid.found[k]!
      if (j < i || rootOf(parent, i) === rootOf(parent, j)) continue
      if (
        breaks !== null &&
        !isOverlapping(discs, i, j) &&
        breaks.arePassed(discs.x[i]!, discs.y[i]!, discs.x[j]!, discs.y[j]!)
      )
        continue
      unite(parent, i, j)
    }
  }
  return numberGroups(parent)
}

/** Rounding of coordinates must not part discs that touch, metres. */
const TOUCH = 1e-6

const isOverlapping = ({ x, y, r }: Circles, i: number, j: number): boolean =>
  Math.hypot(x[i]! - x[j]!, y[i]! - y[j]!) <= r[i]! + r[j]! + TOUCH

function rootOf(parent: Int32Array, node: number): number {
  let at = node
  while (parent[at] !== at) {
    parent[at] = parent[parent[at]!]!
    at = parent[at]!
  }
  return at
}

function unite(parent: Int32Array, a: number, b: number): void {
  const [first, second] = [rootOf(parent, a), rootOf(parent, b)]
  parent[Math.max(first, second)] = Math.min(first, second)
}

function numberGroups(parent: Int32Array): Int32Array {
  const numbers = new Map<number, number>()
  return parent.map((_, i) => {
    const root = rootOf(parent, i)
    const known = numbers.get(root)
    if (known !== undefined) return known
    numbers.set(root, numbers.size)
    return numbers.size - 1
  })
}
