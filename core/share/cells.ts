import type { WorkingFrame } from '../geo/index.ts'
import type { Polygon } from '../model/geometry.ts'
import { InputError } from '../model/problem.ts'

/** Least edge of a cell, metres. */
export const LEAST_CELL = 1000
/** What a cell must hold to be shown. */
export const LEAST_OWNERS = 5
export const LEAST_REPORTS = 3

/** A report's place with the owner of its ground; `ownerId` null where nobody is known to own it. Degrees, WGS 84. */
export interface OwnedPoint {
  readonly longitude: number
  readonly latitude: number
  readonly ownerId: string | null
}

/** A rectangle of ground, whole cells on a side, with the number of reports in it. */
export interface ReportCell {
  /** Degrees, closed, counter-clockwise. */
  readonly outline: Polygon
  /** Width and height, metres in the frame. */
  readonly size: readonly [width: number, height: number]
  /** One number a group of points; null where that group alone is too few to show. */
  readonly reports: readonly (number | null)[]
}

export interface CellCover {
  readonly cells: readonly ReportCell[]
  /** By group: reports that no cell may show, since people or reports are too few in all. */
  readonly hidden: readonly number[]
}

/**
 * Covers groups of points (seasons) with the same rectangles of whole cells, `size` metres or more on a side, in each of which
 * at least one group has 5 owners and 3 reports; a group that has not is not counted there.
 * One rectangle round everything is cut in two along a line of the grid as long as both sides may still be shown, each
 * shrunk to the cells that hold reports: rectangles are disjoint, a lonely report makes its own grow, and no difference of
 * two counts gives a small one away.
 * `holders` are places of owners that count as owners of the ground without a report (parcels); without them the owners of
 * the reports' ground count alone. The order of the points does not matter.
 * Errors: InputError for a size under 1 km.
 */
export function cellsOf(
  groups: readonly (readonly OwnedPoint[])[],
  frame: WorkingFrame,
  size: number = LEAST_CELL,
  holders: readonly OwnedPoint[] = [],
): CellCover {
  if (!(size >= LEAST_CELL)) {
    throw new InputError({
      code: 'share-cell-size',
      value: String(size),
      reason: 'a cell is smaller than 1 km',
      remedy: 'Give a cell size of 1000 m or more.',
    })
  }
  const place = ({ longitude, latitude, ownerId }: OwnedPoint): GridPoint => {
    const [x, y] = frame.toPlane(longitude, latitude)
    return { column: Math.floor(x / size), row: Math.floor(y / size), ownerId }
  }
  const placed = groups.map(points => points.map(place))
  const owners = ownersByCell(holders.map(place))
  const blocks = placed.some(points => mayShow(points, placed, owners)) ? split(placed, owners) : []
  const cells = blocks.map(block => {
    const reports = block.map(points => (mayShow(points, block, owners) ? points.length : null))
    return { ...cellFrom(spanOf(block), size, frame), reports }
  })
  const shown = groups.map((_, group) => cells.reduce((sum, cell) => sum + (cell.reports[group] ?? 0), 0))
  return { cells, hidden: groups.map((points, group) => points.length - shown[group]!) }
}

interface GridPoint {
  readonly column: number
  readonly row: number
  readonly ownerId: string | null
}

/** Points of every group in one rectangle. */
type GridBlock = readonly (readonly GridPoint[])[]
/** First and last column and row. */
type Span = readonly [left: number, bottom: number, right: number, top: number]
type OwnersByCell = ReadonlyMap<string, readonly string[]>

function ownersByCell(holders: readonly GridPoint[]): OwnersByCell {
  const sets = new Map<string, Set<string>>()
  for (const { column, row, ownerId } of holders) {
    if (ownerId === null) continue
    const key = `${column},${row}`
    const held = sets.get(key)
    if (held === undefined) sets.set(key, new Set([ownerId]))
    else held.add(ownerId)
  }
  return new Map([...sets].map(([key, held]) => [key, [...held]]))
}

function spanOf(block: GridBlock): Span {
  let [left, bottom, right, top] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const { column, row } of block.flat()) {
    left = Math.min(left, column)
    right = Math.max(right, column)
    bottom = Math.min(bottom, row)
    top = Math.max(top, row)
  }
  return [left, bottom, right, top]
}

/** Whether a group may be counted in the rectangle of its block. */
function mayShow(points: readonly GridPoint[], block: GridBlock, owners: OwnersByCell): boolean {
  if (points.length < LEAST_REPORTS) return false
  const seen = new Set(points.flatMap(({ ownerId }) => (ownerId === null ? [] : [ownerId])))
  const [left, bottom, right, top] = spanOf(block)
  for (let column = left; column <= right && seen.size < LEAST_OWNERS; column++) {
    for (let row = bottom; row <= top && seen.size < LEAST_OWNERS; row++) {
      for (const owner of owners.get(`${column},${row}`) ?? []) seen.add(owner)
    }
  }
  return seen.size >= LEAST_OWNERS
}

/** The block, or its pieces by the cut that leaves the least ground, as long as one may be made. */
function split(block: GridBlock, owners: OwnersByCell): GridBlock[] {
  const [left, bottom, right, top] = spanOf(block)
  let best: { readonly sides: readonly [GridBlock, GridBlock]; readonly ground: number } | null = null
  const consider = (isFirst: (point: GridPoint) => boolean) => {
    const sides = [
      block.map(points => points.filter(isFirst)),
      block.map(points => points.filter(p => !isFirst(p))),
    ] as const
    const ground = sides.reduce((sum, side) => sum + groundOf(spanOf(side)), 0)
    if (best !== null && ground >= best.ground) return
    if (sides.every(side => side.some(points => mayShow(points, side, owners)))) best = { sides, ground }
  }
  for (let column = left + 1; column <= right; column++) consider(point => point.column < column)
  for (let row = bottom + 1; row <= top; row++) consider(point => point.row < row)
  const cut = best as { readonly sides: readonly [GridBlock, GridBlock] } | null
  return cut === null ? [block] : cut.sides.flatMap(side => split(side, owners))
}

const groundOf = ([left, bottom, right, top]: Span): number => (right - left + 1) * (top - bottom + 1)

function cellFrom([left, bottom, right, top]: Span, size: number, frame: WorkingFrame): Omit<ReportCell, 'reports'> {
  const [x0, y0, x1, y1] = [left * size, bottom * size, (right + 1) * size, (top + 1) * size]
  const corners = [
    [x0, y0],
    [x1, y0],
    [x1, y1],
    [x0, y1],
    [x0, y0],
  ] as const
  const outline = Float64Array.from(corners.flatMap(([x, y]) => [...frame.toGlobe(x, y)]))
  return { outline: [outline], size: [x1 - x0, y1 - y0] }
}
