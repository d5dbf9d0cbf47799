/** Finds as columns: discs, metres. */
export interface Discs {
  readonly x: Float64Array
  readonly y: Float64Array
  readonly radius: Float64Array
}

/** Discs wider than this share of the reach are few; they are held against all others instead of widening the grid. */
const WIDE_SHARE = 0.5

/**
 * Groups of discs by single linkage: two are of one group when steps of at most `reach`, edge to edge, lead from one to
 * the other.
 *
 * Shapes: one label a disc, the smallest index of its group, so that labels do not depend on how groups were found.
 * Accuracy and cost: exact; near-linear but for wide discs, because all places of one cell are of one group and two
 * cells need one near pair.
 */
export function linkDiscs(discs: Discs, reach: number): Int32Array {
  const count = discs.x.length
  const parent = new Int32Array(count)
  for (let i = 0; i < count; i++) parent[i] = i
  const isWide = (i: number) => discs.radius[i]! > reach * WIDE_SHARE
  linkNarrow(discs, reach, parent, isWide)
  for (let i = 0; i < count; i++) {
    if (!isWide(i)) continue
    for (let j = 0; j < count; j++) if (i !== j && areNear(discs, i, j, reach)) unite(parent, i, j)
  }
  for (let i = 0; i < count; i++) parent[i] = find(parent, i)
  return parent
}

interface Cell {
  readonly column: number
  readonly row: number
  readonly members: number[]
}

function linkNarrow(discs: Discs, reach: number, parent: Int32Array, isWide: (i: number) => boolean): void {
  let [smallest, largest] = [Number.POSITIVE_INFINITY, 0]
  for (let i = 0; i < discs.radius.length; i++) {
    if (isWide(i)) continue
    smallest = Math.min(smallest, discs.radius[i]!)
    largest = Math.max(largest, discs.radius[i]!)
  }
  if (smallest > largest) return
  // No two places of a cell are farther apart than its diagonal, which even the smallest discs bridge.
  const side = (reach + 2 * smallest) / Math.SQRT2
  const cells = groupByCell(discs, side, isWide)
  for (const { members } of cells.values()) for (const i of members) unite(parent, i, members[0]!)
  const span = Math.ceil((reach + 2 * largest) / side)
  for (const cell of cells.values()) {
    for (let dy = 0; dy <= span; dy++) {
      for (let dx = dy === 0 ? 1 : -span; dx <= span; dx++) {
        const other = cells.get(cellKey(cell.column + dx, cell.row + dy))
        if (other === undefined || find(parent, cell.members[0]!) === find(parent, other.members[0]!)) continue
        if (hasNearPair(discs, cell.members, other.members, reach)) unite(parent, cell.members[0]!, other.members[0]!)
      }
    }
  }
}

function groupByCell({ x, y }: Discs, side: number, isWide: (i: number) => boolean): Map<number, Cell> {
  const cells = new Map<number, Cell>()
  for (let i = 0; i < x.length; i++) {
    if (isWide(i)) continue
    const column = Math.floor(x[i]! / side)
    const row = Math.floor(y[i]! / side)
    const key = cellKey(column, row)
    const cell = cells.get(key)
    if (cell) cell.members.push(i)
    else cells.set(key, { column, row, members: [i] })
  }
  return cells
}

/** One number a cell: exact while columns and rows stay within +-2^25, which is 1,000,000 km of cells. */
const cellKey = (column: number, row: number): number => column * 2 ** 26 + row

function hasNearPair(discs: Discs, a: readonly number[], b: readonly number[], reach: number): boolean {
  for (const i of a) for (const j of b) if (areNear(discs, i, j, reach)) return true
  return false
}

function areNear({ x, y, radius }: Discs, i: number, j: number, reach: number): boolean {
  const dx = x[i]! - x[j]!
  const dy = y[i]! - y[j]!
  const bridged = reach + radius[i]! + radius[j]!
  return dx * dx + dy * dy <= bridged * bridged
}

function find(parent: Int32Array, start: number): number {
  let node = start
  while (parent[node] !== node) {
    parent[node] = parent[parent[node]!]!
    node = parent[node]!
  }
  return node
}

/** The smaller index becomes the root, so that the label of a group is its smallest member. */
function unite(parent: Int32Array, a: number, b: number): void {
  const [rootA, rootB] = [find(parent, a), find(parent, b)]
  if (rootA < rootB) parent[rootB] = rootA
  else parent[rootA] = rootB
}
