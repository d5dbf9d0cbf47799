import type { MultiPolygon } from '../model/index.ts'

/** A set of polygons that answers how far a place is from its boundary and whether it lies inside. */
export interface Extent {
  readonly shape: MultiPolygon
  readonly isEmpty: boolean
  contains(x: number, y: number): boolean
  /** Distance to the nearest point of the boundary, metres, positive outside and negative inside; Infinity when empty. */
  signedDistance(x: number, y: number): number
}

/** Cells a side of the grid at most: its memory stays under a few megabytes for any extent. */
const MAXIMUM_CELLS = 512
/** Smallest cell, metres: below it cells hold less than the vertices of one disc. */
const SMALLEST_CELL = 40

/**
 * Builds an extent from polygons that do not overlap (a union).
 * Shapes: planar metres, closed rings. Accuracy and cost: exact to rounding; a query looks at the cells around it only.
 */
export function createExtent(shape: MultiPolygon): Extent {
  const segments = collectSegments(shape)
  const boxes = shape.map(polygon => boundsOf(polygon[0] ?? new Float64Array()))
  const contains = (x: number, y: number) =>
    shape.some((polygon, i) => isInBox(boxes[i]!, x, y) && crossingsAreOdd(polygon, x, y))
  if (segments.length === 0) {
    return { shape, isEmpty: true, contains: () => false, signedDistance: () => Number.POSITIVE_INFINITY }
  }
  const grid = createSegmentGrid(segments)
  return {
    shape,
    isEmpty: false,
    contains,
    signedDistance: (x, y) => (contains(x, y) ? -1 : 1) * nearestSegmentDistance(grid, x, y),
  }
}

export type Bounds = readonly [minX: number, minY: number, maxX: number, maxY: number]

/** Smallest box around a ring or path; inverted when there is none. */
export function boundsOf(ring: Float64Array): Bounds {
  let [minX, minY, maxX, maxY] = [
    Number.POSITIVE_INFINITY,
    Number.POSITIVE_INFINITY,
    -Number.POSITIVE_INFINITY,
    -Number.POSITIVE_INFINITY,
  ]
  for (let i = 0; i < ring.length; i += 2) {
    const [x, y] = [ring[i]!, ring[i + 1]!]
    if (x < minX) minX = x
    if (x > maxX) maxX = x
    if (y < minY) minY = y
    if (y > maxY) maxY = y
  }
  return [minX, minY, maxX, maxY]
}

const isInBox = (box: Bounds, x: number, y: number): boolean => x >= box[0] && x <= box[2] && y >= box[1] && y <= box[3]

function crossingsAreOdd(polygon: readonly Float64Array[], x: number, y: number): boolean {
  let isInside = false
  for (const ring of polygon) {
    for (let i = 2; i < ring.length; i += 2) {
      const [x1, y1, x2, y2] = [ring[i - 2]!, ring[i - 1]!, ring[i]!, ring[i + 1]!]
      if (y1 > y !== y2 > y && x < x1 + ((y - y1) / (y2 - y1)) * (x2 - x1)) isInside = !isInside
    }
  }
  return isInside
}

/** x1, y1, x2, y2 of every edge in turn. */
function collectSegments(shape: MultiPolygon): Float64Array {
  const edges = shape.flat().reduce((sum, ring) => sum + Math.max(0, ring.length / 2 - 1), 0)
  const segments = new Float64Array(edges * 4)
  let used = 0
  for (const ring of shape.flat()) {
    for (let i = 2; i < ring.length; i += 2) {
      segments.set([ring[i - 2]!, ring[i - 1]!, ring[i]!, ring[i + 1]!], used)
      used += 4
    }
  }
  return segments
}

/** Edges by the cells of a square grid that their boxes touch: cell c holds members[starts[c]] to members[starts[c + 1]]. */
export interface SegmentGrid {
  readonly segments: Float64Array
  readonly x: number
  readonly y: number
  readonly cell: number
  readonly columns: number
  readonly rows: number
  readonly starts: Uint32Array
  readonly members: Uint32Array
}

export function createSegmentGrid(segments: Float64Array): SegmentGrid {
  const [minX, minY, maxX, maxY] = boundsOf(segments)
  const cell = Math.max(SMALLEST_CELL, (maxX - minX) / MAXIMUM_CELLS, (maxY - minY) / MAXIMUM_CELLS)
  const columns = Math.floor((maxX - minX) / cell) + 1
  const rows = Math.floor((maxY - minY) / cell) + 1
  const visit = (act: (cell: number, segment: number) => void) => {
    for (let s = 0; s < segments.length; s += 4) {
      const [x1, y1, x2, y2] = [segments[s]!, segments[s + 1]!, segments[s + 2]!, segments[s + 3]!]
      const [left, right] = [Math.floor((Math.min(x1, x2) - minX) / cell), Math.floor((Math.max(x1, x2) - minX) / cell)]
      const [low, high] = [Math.floor((Math.min(y1, y2) - minY) / cell), Math.floor((Math.max(y1, y2) - minY) / cell)]
      for (let row = low; row <= high; row++)
        for (let column = left; column <= right; column++) act(row * columns + column, s)
    }
  }
  const starts = new Uint32Array(columns * rows + 1)
  visit(index => {
    starts[index + 1]!++
  })
  for (let i = 0; i < columns * rows; i++) starts[i + 1]! += starts[i]!
  const members = new Uint32Array(starts[columns * rows]!)
  const filled = starts.slice()
  visit((index, segment) => {
    members[filled[index]!++] = segment
  })
  return { segments, x: minX, y: minY, cell, columns, rows, starts, members }
}

/** Distance from a place to the nearest edge of the grid: rings of cells outward until none can hold a nearer one. */
export function nearestSegmentDistance(grid: SegmentGrid, x: number, y: number): number {
  const { cell, columns, rows } = grid
  const [column, row] = [Math.floor((x - grid.x) / cell), Math.floor((y - grid.y) / cell)]
  const first = Math.max(0, -column, column - columns + 1, -row, row - rows + 1)
  const last = Math.max(column, columns - 1 - column, row, rows - 1 - row)
  let best = Number.POSITIVE_INFINITY
  for (let ring = first; ring <= last; ring++) {
    best = Math.min(best, nearestInRing(grid, [column, row], ring, [x, y]))
    if (best <= ring * cell) break
  }
  return best
}

function nearestInRing(
  grid: SegmentGrid,
  [column, row]: readonly [number, number],
  ring: number,
  [x, y]: readonly [number, number],
): number {
  let best = Number.POSITIVE_INFINITY
  for (let r = Math.max(0, row - ring); r <= Math.min(grid.rows - 1, row + ring); r++) {
    const isEdgeRow = r === row - ring || r === row + ring
    // Inner rows of the ring have only their first and last cell in it.
    const stride = isEdgeRow || ring === 0 ? 1 : 2 * ring
    for (let c = column - ring; c <= column + ring; c += stride) {
      if (c < 0 || c >= grid.columns) continue
      const index = r * grid.columns + c
      for (let m = grid.starts[index]!; m < grid.starts[index + 1]!; m++) {
        best = Math.min(best, segmentDistance(grid.segments, grid.members[m]!, x, y))
      }
    }
  }
  return best
}

function segmentDistance(segments: Float64Array, at: number, x: number, y: number): number {
  const [x1, y1] = [segments[at]!, segments[at + 1]!]
  const [dx, dy] = [segments[at + 2]! - x1, segments[at + 3]! - y1]
  const square = dx * dx + dy * dy
  const along = square === 0 ? 0 : Math.min(1, Math.max(0, ((x - x1) * dx + (y - y1) * dy) / square))
  return Math.hypot(x - x1 - along * dx, y - y1 - along * dy)
}
