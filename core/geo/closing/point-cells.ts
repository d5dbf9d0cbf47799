/**
 * Points sorted into square cells: members of cell c are `member[first[c]]` to `member[first[c + 1] - 1]`, in their own order.
 * Cells stand row by row from the south, each row from the west; row k holds the cells `rowFirst[k]` to `rowFirst[k + 1] - 1`.
 */
export interface PointCells {
  readonly count: number
  readonly column: Int32Array
  readonly row: Int32Array
  readonly first: Int32Array
  readonly member: Int32Array
  readonly rowFirst: Int32Array
}

/** Sorts points into cells of edge `cell`. Cost: a few passes over the points, whatever their order. */
export function sortIntoCells(x: Float64Array, y: Float64Array, cell: number): PointCells {
  const points = x.length
  const [columns, rows] = [cellNumbers(x, cell), cellNumbers(y, cell)]
  const member = sortCells(columns, rows)
  const [column, row, first] = [new Int32Array(points), new Int32Array(points), new Int32Array(points + 1)]
  const rowFirst = new Int32Array(points + 1)
  let [count, rowCount] = [0, 0]
  for (let k = 0; k < points; k++) {
    const [c, r] = [columns[member[k]!]!, rows[member[k]!]!]
    const isNewRow = count === 0 || row[count - 1] !== r
    if (!isNewRow && column[count - 1] === c) continue
    if (isNewRow) rowFirst[rowCount++] = count
    column[count] = c
    row[count] = r
    first[count++] = k
  }
  first[count] = points
  rowFirst[rowCount] = count
  return { count, column, row, first, member, rowFirst: rowFirst.subarray(0, rowCount + 1) }
}

/** Whole numbers from 0 on. */
function cellNumbers(values: Float64Array, cell: number): Int32Array {
  let least = Number.POSITIVE_INFINITY
  for (let i = 0; i < values.length; i++) if (values[i]! < least) least = values[i]!
  const numbers = new Int32Array(values.length)
  for (let i = 0; i < values.length; i++) numbers[i] = Math.floor((values[i]! - least) / cell)
  return numbers
}

/** The points by row, then by column, then as they stood. */
function sortCells(columns: Int32Array, rows: Int32Array): Int32Array {
  const items = new Int32Array(columns.length)
  let [lastColumn, lastRow] = [0, 0]
  for (let i = 0; i < items.length; i++) {
    items[i] = i
    if (columns[i]! > lastColumn) lastColumn = columns[i]!
    if (rows[i]! > lastRow) lastRow = rows[i]!
  }
  const width = lastColumn + 1
  if (width * (lastRow + 1) >= 2 ** 31) return sortBy(rows, sortBy(columns, items))
  const cells = new Int32Array(columns.length)
  for (let i = 0; i < cells.length; i++) cells[i] = rows[i]! * width + columns[i]!
  return sortBy(cells, items)
}

const DIGIT = 11
const DIGITS = 1 << DIGIT

/** The items in the order of their keys, items of one key as they stood; keys from 0 on (radix sort). Keys go along with their items. */
function sortBy(keys: Int32Array, items: Int32Array): Int32Array {
  let largest = 0
  for (let i = 0; i < keys.length; i++) if (keys[i]! > largest) largest = keys[i]!
  let [from, to]: [Int32Array, Int32Array] = [items, new Int32Array(items.length)]
  let [key, nextKey]: [Int32Array, Int32Array] = [new Int32Array(keys.length), new Int32Array(keys.length)]
  for (let k = 0; k < items.length; k++) key[k] = keys[items[k]!]!
  const starts = new Int32Array(DIGITS + 1)
  for (let shift = 0; shift < 31 && largest >> shift > 0; shift += DIGIT) {
    starts.fill(0)
    for (let k = 0; k < key.length; k++) starts[((key[k]! >> shift) & (DIGITS - 1)) + 1]!++
    for (let d = 0; d < DIGITS; d++) starts[d + 1]! += starts[d]!
    for (let k = 0; k < from.length; k++) {
      const at = starts[(key[k]! >> shift) & (DIGITS - 1)]!++
      to[at] = from[k]!
      nextKey[at] = key[k]!
    }
    ;[from, to] = [to, from]
    ;[key, nextKey] = [nextKey, key]
  }
  return from
}
