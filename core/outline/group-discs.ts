import { boxOf, createBoxIndex } from '../geo/index.ts'
import type { MultiPolygon } from '../model/index.ts'
import { buildCircleGrid, type Circles } from './circle-grid.ts'

/**
 * Groups of discs that hang together when each is grown by `half`; touching counts. Where `breaks` are given, two discs
 * that do not overlap themselves are not joined along a line that leads through one and out again.
 * Shapes: one group number a disc, counted in the order of the first disc.
 */
export function groupDiscs(discs: Circles, half: number, breaks: MultiPolygon | null): Int32Array {
  const grown: Circles = { x: discs.x, y: discs.y, r: discs.r.map(r => r + half + TOUCH) }
  const grid = buildCircleGrid(grown)
  const parent = Int32Array.from(discs.r, (_, i) => i)
  const isCut = breaks === null || breaks.length === 0 ? null : createBreakTest(breaks)
  for (let i = 0; i < discs.r.length; i++) {
    for (const j of grid.neighbours(i)) {
      if (j < i || rootOf(parent, i) === rootOf(parent, j)) continue
      if (isCut !== null && !isOverlapping(discs, i, j) && isCut(discs.x[i]!, discs.y[i]!, discs.x[j]!, discs.y[j]!))
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

/** Tells whether a line passes through one of the breaks and out on the other side. */
function createBreakTest(breaks: MultiPolygon): (x1: number, y1: number, x2: number, y2: number) => boolean {
  const edges: number[] = []
  const boxes: number[] = []
  const owner: number[] = []
  for (const [p, polygon] of breaks.entries()) {
    if (boxOf([polygon]) === undefined) continue
    for (const ring of polygon) {
      for (let i = 0; i + 3 < ring.length; i += 2) {
        const [ax, ay, bx, by] = [ring[i]!, ring[i + 1]!, ring[i + 2]!, ring[i + 3]!]
        edges.push(ax, ay, bx, by)
        boxes.push(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by))
        owner.push(p)
      }
    }
  }
  const index = createBoxIndex(Float64Array.from(boxes))
  return (x1, y1, x2, y2) => {
    const crossings = new Map<number, number>()
    for (const e of index.search([Math.min(x1, x2), Math.min(y1, y2), Math.max(x1, x2), Math.max(y1, y2)])) {
      if (!isCrossing([x1, y1, x2, y2], edges, 4 * e)) continue
      const count = (crossings.get(owner[e]!) ?? 0) + 1
      if (count >= 2) return true
      crossings.set(owner[e]!, count)
    }
    return false
  }
}

/** Half-open at the edge's ends, so that a line through a vertex crosses once. */
function isCrossing(
  [x1, y1, x2, y2]: readonly [number, number, number, number],
  edges: readonly number[],
  at: number,
): boolean {
  const side = (px: number, py: number) => (x2 - x1) * (py - y1) - (y2 - y1) * (px - x1) > 0
  const [ax, ay, bx, by] = [edges[at]!, edges[at + 1]!, edges[at + 2]!, edges[at + 3]!]
  if (side(ax, ay) === side(bx, by)) return false
  const other = (px: number, py: number) => (bx - ax) * (py - ay) - (by - ay) * (px - ax) > 0
  return other(x1, y1) !== other(x2, y2)
}
