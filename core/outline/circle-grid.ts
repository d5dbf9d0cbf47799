/** Circles as columns, metres. */
export interface Circles {
  readonly x: Float64Array
  readonly y: Float64Array
  readonly r: Float64Array
}

/** Finds the circles that meet or touch a given one. */
export interface CircleGrid {
  /** Numbers of the circles j != i with distance <= r_i + r_j, in rising order of radius class, then of cell. */
  neighbours(circle: number): number[]
}

interface RadiusClass {
  readonly cell: number
  readonly largest: number
  readonly cells: ReadonlyMap<number, readonly number[]>
}

/** Wide enough for a million cells a side; keeps row and column apart in one number. */
const ROW = 2 ** 26

/**
 * A grid a radius class (powers of two), so that a few wide circles do not make the cells of small ones crowded.
 * Cost: one pass to build; a query looks at the cells within reach of each class.
 */
export function buildCircleGrid(circles: Circles): CircleGrid {
  const classes = splitByRadius(circles)
  return {
    neighbours(circle) {
      const found: number[] = []
      for (const group of classes) collect(circles, group, circle, found)
      return found
    },
  }
}

function splitByRadius({ x, y, r }: Circles): RadiusClass[] {
  const members = new Map<number, number[]>()
  for (let i = 0; i < r.length; i++) {
    const power = r[i]! > 0 ? Math.max(-10, Math.ceil(Math.log2(r[i]!))) : -10
    const group = members.get(power)
    if (group) group.push(i)
    else members.set(power, [i])
  }
  return [...members.entries()]
    .sort((a, b) => a[0] - b[0])
    .map(([power, group]) => {
      const cell = 2 ** (power + 1)
      const cells = new Map<number, number[]>()
      for (const i of group) {
        const key = Math.floor(x[i]! / cell) * ROW + Math.floor(y[i]! / cell)
        const list = cells.get(key)
        if (list) list.push(i)
        else cells.set(key, [i])
      }
      return { cell, largest: group.reduce((most, i) => Math.max(most, r[i]!), 0), cells }
    })
}

function collect({ x, y, r }: Circles, group: RadiusClass, circle: number, found: number[]): void {
  const [cx, cy, cr] = [x[circle]!, y[circle]!, r[circle]!]
  const reach = cr + group.largest
  const lastColumn = Math.floor((cx + reach) / group.cell)
  const lastRow = Math.floor((cy + reach) / group.cell)
  for (let column = Math.floor((cx - reach) / group.cell); column <= lastColumn; column++) {
    for (let row = Math.floor((cy - reach) / group.cell); row <= lastRow; row++) {
      const list = group.cells.get(column * ROW + row)
      if (list === undefined) continue
      for (const other of list) {
        const [dx, dy, sum] = [x[other]! - cx, y[other]! - cy, r[other]! + cr]
        if (other !== circle && dx * dx + dy * dy <= sum * sum) found.push(other)
      }
    }
  }
}
