/** Points sorted into square cells: members of cell c are `member[first[c]]` to `member[first[c + 1] - 1]`, in their own order. */
export interface PointCells {
  readonly count: number
  readonly column: Int32Array
  readonly row: Int32Array
  readonly first: Int32Array
  readonly member: Int32Array
  /** The number of a cell that holds a point; -1 for any other. */
  find(column: number, row: number): number
}

/** Sorts points into cells of edge `cell`. Cost: one hash look-up a point. */
export function sortIntoCells(x: Float64Array, y: Float64Array, cell: number): PointCells {
  const points = x.length
  const mask = 2 ** Math.ceil(Math.log2(2 * points + 2)) - 1
  const slots = new Int32Array(mask + 1).fill(-1)
  const [column, row, size] = [new Int32Array(points), new Int32Array(points), new Int32Array(points)]
  const cellOf = new Int32Array(points)
  let count = 0
  const slotOf = (c: number, r: number): number => {
    let slot = (Math.imul(c, 0x9e3779b1) ^ Math.imul(r, 0x85ebca77)) & mask
    for (let held = slots[slot]!; held >= 0; held = slots[slot]!) {
      if (column[held] === c && row[held] === r) break
      slot = (slot + 1) & mask
    }
    return slot
  }
  for (let i = 0; i < points; i++) {
    const [c, r] = [Math.floor(x[i]! / cell), Math.floor(y[i]! / cell)]
    const slot = slotOf(c, r)
    if (slots[slot] === -1) {
      column[count] = c
      row[count] = r
      slots[slot] = count++
    }
    cellOf[i] = slots[slot]!
    size[cellOf[i]!]!++
  }
  const first = new Int32Array(count + 1)
  for (let c = 0; c < count; c++) first[c + 1] = first[c]! + size[c]!
  const [next, member] = [first.slice(), new Int32Array(points)]
  for (let i = 0; i < points; i++) member[next[cellOf[i]!]!++] = i
  return { count, column, row, first, member, find: (c, r) => slots[slotOf(c, r)]! }
}
