/** Circles as columns, metres. */
export interface Circles {
  readonly x: Float64Array
  readonly y: Float64Array
  readonly r: Float64Array
}

/** Finds the circles that meet or touch a given one. */
export interface CircleGrid {
  /** Numbers of the circles j != i with distance <= r_i + r_j, a radius class after the other. */
  neighbours(circle: number): number[]
}

/** Circles of one power of two, hashed by their cell: bucket b holds entries starts[b] to starts[b + 1]. */
interface RadiusClass {
  readonly cell: number
  readonly largest: number
  readonly mask: number
  readonly starts: Uint32Array
  /** By entry: the circle and the column and row of its cell, which tell cells of one bucket apart. */
  readonly circle: Uint32Array
  readonly column: Int32Array
  readonly row: Int32Array
}

/** Power of two of the smallest class, so that cell numbers fit 32 bits in any frame. */
const SMALLEST = -4

/**
 * A grid a radius class (powers of two), so that a few wide circles do not make the cells of small ones crowded.
 * Cost: one pass to build; a query looks at the cells within reach of each class.
 */
export function buildCircleGrid(circles: Circles): CircleGrid {
  if (circles.r.length <= FEW) return { neighbours: circle => meetAmongFew(circles, circle) }
  const members = new Map<number, number[]>()
  for (const [i, r] of circles.r.entries()) {
    const power = r > 0 ? Math.max(SMALLEST, Math.ceil(Math.log2(r))) : SMALLEST
    const group = members.get(power)
    if (group) group.push(i)
    else members.set(power, [i])
  }
  const classes = [...members.entries()]
    .sort((a, b) => a[0] - b[0])
    .map(([power, group]) => hashCells(circles, group, 2 ** (power + 1)))
  return {
    neighbours(circle) {
      const found: number[] = []
      for (const group of classes) collect(circles, group, circle, found)
      return found
    },
  }
}

/** Up to this many circles, looking at all of them is quicker than a grid. */
const FEW = 32

function meetAmongFew({ x, y, r }: Circles, circle: number): number[] {
  const [cx, cy, cr] = [x[circle]!, y[circle]!, r[circle]!]
  const found: number[] = []
  for (let other = 0; other < r.length; other++) {
    const [dx, dy, sum] = [x[other]! - cx, y[other]! - cy, r[other]! + cr]
    if (other !== circle && dx * dx + dy * dy <= sum * sum) found.push(other)
  }
  return found
}

const bucketOf = (column: number, row: number, mask: number): number =>
  (Math.imul(column, 0x9e3779b1) ^ Math.imul(row, 0x85ebca77)) & mask

function hashCells({ x, y, r }: Circles, group: readonly number[], cell: number): RadiusClass {
  const mask = 2 ** Math.ceil(Math.log2(2 * group.length)) - 1
  const starts = new Uint32Array(mask + 2)
  const columns = Int32Array.from(group, i => Math.floor(x[i]! / cell))
  const rows = Int32Array.from(group, i => Math.floor(y[i]! / cell))
  for (let k = 0; k < group.length; k++) starts[bucketOf(columns[k]!, rows[k]!, mask) + 1]!++
  for (let b = 0; b <= mask; b++) starts[b + 1]! += starts[b]!
  const next = starts.slice()
  const circle = new Uint32Array(group.length)
  const [column, row] = [new Int32Array(group.length), new Int32Array(group.length)]
  let largest = 0
  for (const [k, i] of group.entries()) {
    const entry = next[bucketOf(columns[k]!, rows[k]!, mask)]!++
    circle[entry] = i
    column[entry] = columns[k]!
    row[entry] = rows[k]!
    largest = Math.max(largest, r[i]!)
  }
  return { cell, largest, mask, starts, circle, column, row }
}

function collect({ x, y, r }: Circles, group: RadiusClass, circle: number, found: number[]): void {
  const { cell, mask, starts } = group
  const [cx, cy, cr] = [x[circle]!, y[circle]!, r[circle]!]
  const reach = cr + group.largest
  const lastColumn = Math.floor((cx + reach) / cell)
  const lastRow = Math.floor((cy + reach) / cell)
  for (let column = Math.floor((cx - reach) / cell); column <= lastColumn; column++) {
    for (let row = Math.floor((cy - reach) / cell); row <= lastRow; row++) {
      const bucket = bucketOf(column, row, mask)
      for (let entry = starts[bucket]!; entry < starts[bucket + 1]!; entry++) {
        if (group.column[entry] !== column || group.row[entry] !== row) continue
        const other = group.circle[entry]!
        const [dx, dy, sum] = [x[other]! - cx, y[other]! - cy, r[other]! + cr]
        if (other !== circle && dx * dx + dy * dy <= sum * sum) found.push(other)
      }
    }
  }
}
