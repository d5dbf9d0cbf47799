import { CircleGrid } from './circle-grid.ts'
import type { Circles } from './circles.ts'
import { DisjointSets } from './disjoint-sets.ts'
import { type PointCells, sortIntoCells } from './point-cells.ts'

/** Radii are of like size while the largest is at most this many times the smallest. */
const LIKE = 4

/**
 * Groups of circles that hang together; touching counts. `mayJoin` can forbid a pair that touches.
 * Shapes: one group number a circle, counted in the order of the first circle.
 * Cost: near n for radii of like size without `mayJoin`; else a look at every pair that touches.
 */
export function groupCircles(circles: Circles, mayJoin: ((i: number, j: number) => boolean) | null = null): Int32Array {
  let [smallest, largest] = [Number.POSITIVE_INFINITY, 0]
  for (let i = 0; i < circles.r.length; i++) {
    smallest = Math.min(smallest, circles.r[i]!)
    largest = Math.max(largest, circles.r[i]!)
  }
  const isLike = smallest > 0 && largest <= LIKE * smallest
  return mayJoin === null && isLike ? groupByCells(circles, smallest, largest) : groupByPairs(circles, mayJoin)
}

function groupByPairs(circles: Circles, mayJoin: ((i: number, j: number) => boolean) | null): Int32Array {
  const sets = new DisjointSets(circles.r.length)
  const grid = new CircleGrid()
  grid.fill(circles)
  for (let i = 0; i < circles.r.length; i++) {
    const total = grid.collect(i)
    for (let k = 0; k < total; k++) {
      const j = grid.found[k]!
      if (j < i || sets.leader(i) === sets.leader(j)) continue
      if (mayJoin === null || mayJoin(i, j)) sets.join(i, j)
    }
  }
  return sets.numbers()
}

/** Any two circles in a cell as wide as twice the smallest radius touch; of two cells, pairs are looked at until one does. */
function groupByCells(circles: Circles, smallest: number, largest: number): Int32Array {
  const cell = (2 * smallest) / Math.SQRT2
  const cells = sortIntoCells(circles.x, circles.y, cell)
  const sets = new DisjointSets(circles.r.length)
  for (let c = 0; c < cells.count; c++) {
    for (let k = cells.first[c]! + 1; k < cells.first[c + 1]!; k++) sets.join(cells.member[k - 1]!, cells.member[k]!)
  }
  const reach = Math.ceil((2 * largest) / cell)
  for (let c = 0; c < cells.count; c++) {
    for (let dc = 0; dc <= reach; dc++) {
      for (let dr = dc === 0 ? 1 : -reach; dr <= reach; dr++) {
        const other = cells.find(cells.column[c]! + dc, cells.row[c]! + dr)
        if (other >= 0) joinCells(circles, cells, sets, c, other)
      }
    }
  }
  return sets.numbers()
}

function joinCells({ x, y, r }: Circles, cells: PointCells, sets: DisjointSets, a: number, b: number): void {
  const { first, member } = cells
  if (sets.leader(member[first[a]!]!) === sets.leader(member[first[b]!]!)) return
  for (let k = first[a]!; k < first[a + 1]!; k++) {
    const i = member[k]!
    for (let m = first[b]!; m < first[b + 1]!; m++) {
      const j = member[m]!
      const dx = x[i]! - x[j]!
      const dy = y[i]! - y[j]!
      const reach = r[i]! + r[j]!
      if (dx * dx + dy * dy > reach * reach) continue
      sets.join(i, j)
      return
    }
  }
}
