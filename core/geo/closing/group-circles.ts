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

/**
 * Any two circles in a cell as wide as twice the smallest radius touch; of two cells, pairs are looked at until one does.
 * Sets are of cells, and everything is walked in the order of the cells, so that neighbours lie near in memory too.
 */
function groupByCells(circles: Circles, smallest: number, largest: number): Int32Array {
  const cell = (2 * smallest) / Math.SQRT2
  const cells = sortIntoCells(circles.x, circles.y, cell)
  const sets = new DisjointSets(cells.count)
  const sorted = inOrder(circles, cells.member)
  const reach = Math.ceil((2 * largest) / cell)
  const rows = cells.rowFirst.length - 1
  for (let row = 0; row < rows; row++) {
    const number = cells.row[cells.rowFirst[row]!]!
    for (let other = row; other < rows; other++) {
      if (cells.row[cells.rowFirst[other]!]! > number + reach) break
      joinRows({ sorted, cells, sets, reach }, row, other)
    }
  }
  return numberGroups(cells, sets)
}

interface CellWork {
  readonly sorted: Circles
  readonly cells: PointCells
  readonly sets: DisjointSets
  readonly reach: number
}

/** Joins the cells of a row with those of the same or a later one that lie within `reach` columns. */
function joinRows(work: CellWork, row: number, other: number): void {
  const { column, rowFirst } = work.cells
  const end = rowFirst[other + 1]!
  let start = rowFirst[other]!
  for (let a = rowFirst[row]!; a < rowFirst[row + 1]!; a++) {
    while (start < end && column[start]! < column[a]! - work.reach) start++
    for (let b = row === other ? a + 1 : start; b < end && column[b]! <= column[a]! + work.reach; b++)
      joinCells(work, a, b)
  }
}

function joinCells({ sorted: { x, y, r }, cells: { first }, sets }: CellWork, a: number, b: number): void {
  if (sets.leader(a) === sets.leader(b)) return
  for (let i = first[a]!; i < first[a + 1]!; i++) {
    for (let j = first[b]!; j < first[b + 1]!; j++) {
      const dx = x[i]! - x[j]!
      const dy = y[i]! - y[j]!
      const reach = r[i]! + r[j]!
      if (dx * dx + dy * dy > reach * reach) continue
      sets.join(a, b)
      return
    }
  }
}

function inOrder({ x, y, r }: Circles, order: Int32Array): Circles {
  const sorted = {
    x: new Float64Array(order.length),
    y: new Float64Array(order.length),
    r: new Float64Array(order.length),
  }
  for (let k = 0; k < order.length; k++) {
    const i = order[k]!
    sorted.x[k] = x[i]!
    sorted.y[k] = y[i]!
    sorted.r[k] = r[i]!
  }
  return sorted
}

/** One number a circle, counted in the order of the first circles of the sets. */
function numberGroups({ count, first, member }: PointCells, sets: DisjointSets): Int32Array {
  const leaders = new Int32Array(member.length)
  for (let c = 0; c < count; c++) {
    const leader = sets.leader(c)
    for (let k = first[c]!; k < first[c + 1]!; k++) leaders[member[k]!] = leader
  }
  const numbers = new Int32Array(count).fill(-1)
  let groups = 0
  for (let i = 0; i < leaders.length; i++) {
    const leader = leaders[i]!
    if (numbers[leader] === -1) numbers[leader] = groups++
    leaders[i] = numbers[leader]!
  }
  return leaders
}
