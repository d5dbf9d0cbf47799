import type { MultiPolygon } from '../model/geometry.ts'

/** A boundary that tells how far a place lies from it, and on which side. */
export interface BoundaryIndex {
  /** Distance to the nearest point of any ring, metres, negative inside; Infinity without rings. */
  signedDistance(x: number, y: number): number
  isInside(x: number, y: number): boolean
}

/** Cells an edge. Set by trial. */
const CELLS_AN_EDGE = 8
const MOST_CELLS = 1 << 22
/** Where in a cell its reference point lies: nowhere that drawn edges are likely to pass through. */
const REFERENCE = [0.41421356, 0.57309117] as const
const FARTHEST = 0xffff

/**
 * Indexes the rings of a shape by the square cells that their edges pass through. Inside by the even-odd rule.
 * Shapes: planar metres, closed rings. Accuracy and cost: exact to rounding; about n to build. A query looks at squares of
 * cells outward until none can hold a nearer edge, skipping cells that are known to be far from any; the side follows from
 * the edges between the place and its cell's reference point.
 */
export function indexBoundary(shape: MultiPolygon): BoundaryIndex {
  const edges = edgesOf(shape)
  if (edges.length === 0) {
    return { signedDistance: () => Number.POSITIVE_INFINITY, isInside: () => false }
  }
  const grid = new EdgeGrid(edges)
  return {
    signedDistance(x, y) {
      const distance = grid.distance(x, y)
      return grid.isInside(x, y) ? -distance : distance
    },
    isInside: (x, y) => grid.isInside(x, y),
  }
}

/** x1, y1, x2, y2 of every edge that has a length. */
function edgesOf(shape: MultiPolygon): Float64Array {
  let most = 0
  for (const polygon of shape) for (const ring of polygon) most += 2 * ring.length
  const edges = new Float64Array(most)
  let used = 0
  for (const polygon of shape) {
    for (const ring of polygon) {
      for (let i = 2; i < ring.length; i += 2) {
        if (ring[i] === ring[i - 2] && ring[i + 1] === ring[i - 1]) continue
        edges[used] = ring[i - 2]!
        edges[used + 1] = ring[i - 1]!
        edges[used + 2] = ring[i]!
        edges[used + 3] = ring[i + 1]!
        used += 4
      }
    }
  }
  return edges.subarray(0, used)
}

class EdgeGrid {
  readonly #west: number
  readonly #south: number
  readonly #cell: number
  readonly #columns: number
  readonly #rows: number
  /** Cell c holds the edges stored from starts[c] to starts[c + 1], each as x1, y1, dx, dy. */
  readonly #starts: Int32Array
  readonly #edges: Float64Array
  /** By cell: whether its reference point is inside. */
  readonly #isInside: Uint8Array
  /** By cell: how many squares of cells lie between it and the nearest cell with an edge, 0 for one of those. */
  readonly #empty: Uint16Array

  constructor(edges: Float64Array) {
    const [west, south, east, north] = boundsOf(edges)
    const cells = Math.min(MOST_CELLS, Math.max(1, (edges.length / 4) * CELLS_AN_EDGE))
    const [width, height] = [Math.max(east - west, 1e-9), Math.max(north - south, 1e-9)]
    this.#cell = Math.max(Math.sqrt((width * height) / cells), Math.max(width, height) / cells)
    this.#west = west
    this.#south = south
    this.#columns = Math.floor(width / this.#cell) + 1
    this.#rows = Math.floor(height / this.#cell) + 1
    const total = this.#columns * this.#rows
    this.#starts = new Int32Array(total + 1)
    this.#visit(edges, c => {
      this.#starts[c + 1]!++
    })
    for (let c = 0; c < total; c++) this.#starts[c + 1]! += this.#starts[c]!
    this.#edges = new Float64Array(4 * this.#starts[total]!)
    const next = this.#starts.slice()
    this.#visit(edges, (c, e) => {
      const at = 4 * next[c]!++
      this.#edges[at] = edges[e]!
      this.#edges[at + 1] = edges[e + 1]!
      this.#edges[at + 2] = edges[e + 2]! - edges[e]!
      this.#edges[at + 3] = edges[e + 3]! - edges[e + 1]!
    })
    this.#isInside = this.#findInside(edges)
    this.#empty = this.#findEmpty()
  }

  /** Calls back with every cell that an edge passes through. */
  #visit(edges: Float64Array, act: (cell: number, edge: number) => void): void {
    const cell = this.#cell
    for (let e = 0; e < edges.length; e += 4) {
      const [x1, y1, x2, y2] = [edges[e]!, edges[e + 1]!, edges[e + 2]!, edges[e + 3]!]
      const [low, high] = [this.#rowOf(Math.min(y1, y2)), this.#rowOf(Math.max(y1, y2))]
      for (let row = low; row <= high; row++) {
        let [from, to] = [Math.min(x1, x2), Math.max(x1, x2)]
        if (high > low) {
          const slope = (x2 - x1) / (y2 - y1)
          const atFloor = x1 + (this.#south + row * cell - y1) * slope
          const atRoof = atFloor + cell * slope
          // A little wider, so that rounding never leaves out a cell that the edge touches.
          from = Math.max(from, Math.min(atFloor, atRoof) - 1e-6 * cell)
          to = Math.min(to, Math.max(atFloor, atRoof) + 1e-6 * cell)
        }
        const last = this.#columnOf(to)
        for (let column = this.#columnOf(from); column <= last; column++) act(row * this.#columns + column, e)
      }
    }
  }

  /** Edges across a row's line of reference points turn everything east of them over. */
  #findInside(edges: Float64Array): Uint8Array {
    const [cell, columns, rows] = [this.#cell, this.#columns, this.#rows]
    const isInside = new Uint8Array(columns * rows)
    for (let e = 0; e < edges.length; e += 4) {
      const [x1, y1, x2, y2] = [edges[e]!, edges[e + 1]!, edges[e + 2]!, edges[e + 3]!]
      const [low, high] = [this.#rowOf(Math.min(y1, y2)), this.#rowOf(Math.max(y1, y2))]
      for (let row = low; row <= high; row++) {
        const y = this.#south + (row + REFERENCE[1]) * cell
        if (y1 > y === y2 > y) continue
        const x = x1 + ((y - y1) / (y2 - y1)) * (x2 - x1)
        const column = Math.max(0, Math.ceil((x - this.#west) / cell - REFERENCE[0]))
        if (column < columns) isInside[row * columns + column]! ^= 1
      }
    }
    for (let row = 0; row < rows; row++) {
      for (let at = row * columns + 1; at < (row + 1) * columns; at++) isInside[at]! ^= isInside[at - 1]!
    }
    return isInside
  }

  /** Distance in cells, the larger of columns and rows, to the nearest cell with an edge: two sweeps over the grid. */
  #findEmpty(): Uint16Array {
    const [columns, rows, starts] = [this.#columns, this.#rows, this.#starts]
    const empty = new Uint16Array(columns * rows)
    const lower = (at: number, row: number, column: number): void => {
      if (row < 0 || row >= rows || column < 0 || column >= columns) return
      const reach = empty[row * columns + column]! + 1
      if (reach < empty[at]!) empty[at] = reach
    }
    for (let row = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++) {
        const at = row * columns + column
        empty[at] = starts[at] === starts[at + 1] ? FARTHEST : 0
        if (empty[at] === 0) continue
        lower(at, row, column - 1)
        for (let step = -1; step <= 1; step++) lower(at, row - 1, column + step)
      }
    }
    for (let row = rows - 1; row >= 0; row--) {
      for (let column = columns - 1; column >= 0; column--) {
        const at = row * columns + column
        if (empty[at] === 0) continue
        lower(at, row, column + 1)
        for (let step = -1; step <= 1; step++) lower(at, row + 1, column + step)
      }
    }
    return empty
  }

  isInside(x: number, y: number): boolean {
    const [column, row] = [Math.floor((x - this.#west) / this.#cell), Math.floor((y - this.#south) / this.#cell)]
    if (!(column >= 0 && column < this.#columns && row >= 0 && row < this.#rows)) return false
    const at = row * this.#columns + column
    let isIn = this.#isInside[at] === 1
    // Sides of the line from the place to the reference point, and of each edge: a crossing turns the answer over.
    const rx = this.#west + (column + REFERENCE[0]) * this.#cell - x
    const ry = this.#south + (row + REFERENCE[1]) * this.#cell - y
    const edges = this.#edges
    for (let e = 4 * this.#starts[at]!; e < 4 * this.#starts[at + 1]!; e += 4) {
      const [ax, ay, dx, dy] = [edges[e]! - x, edges[e + 1]! - y, edges[e + 2]!, edges[e + 3]!]
      const bx = edges[e]! + dx - x
      const by = edges[e + 1]! + dy - y
      if (rx * ay - ry * ax >= 0 === rx * by - ry * bx >= 0) continue
      if (dx * -ay - dy * -ax >= 0 !== dx * (ry - ay) - dy * (rx - ax) >= 0) isIn = !isIn
    }
    return isIn
  }

  distance(x: number, y: number): number {
    const [cell, columns, rows] = [this.#cell, this.#columns, this.#rows]
    const [column, row] = [Math.floor((x - this.#west) / cell), Math.floor((y - this.#south) / cell)]
    const isOn = column >= 0 && column < columns && row >= 0 && row < rows
    const first = isOn
      ? this.#empty[row * columns + column]!
      : Math.max(0, -column, column - columns + 1, -row, row - rows + 1)
    const last = Math.max(column, columns - 1 - column, row, rows - 1 - row)
    let best = Number.POSITIVE_INFINITY
    for (let reach = first; reach <= last; reach++) {
      // Nothing beyond this square of cells is nearer than its own rim.
      if (best <= ((reach - 1) * cell) ** 2 && reach > 0) break
      best = this.#nearestOnSquare(column, row, reach, x, y, best)
    }
    return Math.sqrt(best)
  }

  /** The least square of a distance to edges in the cells `reach` columns or rows away. */
  #nearestOnSquare(column: number, row: number, reach: number, x: number, y: number, before: number): number {
    const [columns, rows] = [this.#columns, this.#rows]
    const [west, east, south, north] = [column - reach, column + reach, row - reach, row + reach]
    const [from, to] = [Math.max(0, west), Math.min(columns - 1, east)]
    // The corners belong to the rows.
    const [low, high] = [Math.max(0, south + 1), Math.min(rows - 1, north - 1)]
    const along = { x, y, step: 1 }
    const up = { x, y, step: columns }
    let best = before
    if (south >= 0 && south < rows) best = this.#nearestInLine(south * columns + from, to - from, along, best)
    if (reach === 0) return best
    if (north >= 0 && north < rows) best = this.#nearestInLine(north * columns + from, to - from, along, best)
    if (west >= 0 && west < columns) best = this.#nearestInLine(low * columns + west, high - low, up, best)
    if (east >= 0 && east < columns) best = this.#nearestInLine(low * columns + east, high - low, up, best)
    return best
  }

  /** Cells in a line from `first` on, `length` steps long; none where that is below 0. */
  #nearestInLine(first: number, length: number, { x, y, step }: Line, before: number): number {
    let best = before
    for (let k = 0; k <= length; ) {
      const empty = this.#empty[first + k * step]!
      if (empty === 0) best = this.#nearestInCell(first + k * step, x, y, best)
      k += Math.max(1, empty)
    }
    return best
  }

  #nearestInCell(at: number, x: number, y: number, before: number): number {
    const edges = this.#edges
    const end = 4 * this.#starts[at + 1]!
    let best = before
    for (let e = 4 * this.#starts[at]!; e < end; e += 4) {
      const [px, py, dx, dy] = [x - edges[e]!, y - edges[e + 1]!, edges[e + 2]!, edges[e + 3]!]
      const along = px * dx + py * dy
      const square = dx * dx + dy * dy
      const t = along <= 0 ? 0 : along >= square ? 1 : along / square
      const [qx, qy] = [px - t * dx, py - t * dy]
      const apart = qx * qx + qy * qy
      if (apart < best) best = apart
    }
    return best
  }

  #columnOf(x: number): number {
    return Math.max(0, Math.min(this.#columns - 1, Math.floor((x - this.#west) / this.#cell)))
  }

  #rowOf(y: number): number {
    return Math.max(0, Math.min(this.#rows - 1, Math.floor((y - this.#south) / this.#cell)))
  }
}

/** A place, and by how much the numbers of neighbouring cells of a line differ. */
interface Line {
  readonly x: number
  readonly y: number
  readonly step: number
}

function boundsOf(edges: Float64Array): [west: number, south: number, east: number, north: number] {
  let [west, south, east, north] = [edges[0]!, edges[1]!, edges[0]!, edges[1]!]
  for (let i = 0; i < edges.length; i += 4) {
    west = Math.min(west, edges[i]!, edges[i + 2]!)
    east = Math.max(east, edges[i]!, edges[i + 2]!)
    south = Math.min(south, edges[i + 1]!, edges[i + 3]!)
    north = Math.max(north, edges[i + 1]!, edges[i + 3]!)
  }
  return [west, south, east, north]
}
