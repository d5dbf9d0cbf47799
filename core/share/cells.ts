import { planarArea, toGlobePolygons, type WorkingFrame } from '../geo/index.ts'
import type { MultiPolygon } from '../model/geometry.ts'
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

/** A rectangle of whole cells, cut to the ground there is, with the number of reports in it. */
export interface ReportCell {
  /** Its part of the ground, degrees, closed. */
  readonly outline: MultiPolygon
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

export interface CellSettings {
  /** Edge of a cell, metres; 1000 or more. */
  readonly size?: number
  /** Places of owners that count as owners of the ground without a report (parcels); without them the owners of the reports' ground count alone. */
  readonly holders?: readonly OwnedPoint[]
  /** The part of a planar shape that is ground of the programme; without it cells reach over water and beyond the boundary. */
  clip?(shape: MultiPolygon): MultiPolygon
}

/**
 * Covers groups of points (seasons) with the same rectangles of whole cells in each of which at least one group has 5 owners
 * and 3 reports, on ground of at least one cell's area; a group that has not is not counted there.
 * One rectangle round everything is cut in two along a line of the grid as long as both sides may still be shown, each
 * shrunk to the cells that hold reports: rectangles are disjoint, a lonely report makes its own grow, and no difference of
 * two counts gives a small one away. The order of the points does not matter.
 * Errors: InputError for a size under 1 km.
 */
export function cellsOf(
  groups: readonly (readonly OwnedPoint[])[],
  frame: WorkingFrame,
  { size = LEAST_CELL, holders = [], clip = shape => shape }: CellSettings = {},
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
  const ground: Ground = { owners: ownersByCell(holders.map(place)), shareOf: groundShare(size, clip) }
  const blocks = placed.some(points => mayShow(points, placed, ground)) ? split(placed, ground) : []
  const cells = blocks.map(block => {
    const reports = block.map(points => (mayShow(points, block, ground) ? points.length : null))
    const [left, bottom, right, top] = spanOf(block)
    const outline = toGlobePolygons(clip(rectangle([left, bottom, right, top], size)), frame)
    return { outline, size: [(right - left + 1) * size, (top - bottom + 1) * size] as const, reports }
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

interface Ground {
  readonly owners: OwnersByCell
  /** Share of a cell that is ground, 0-1. */
  shareOf(column: number, row: number): number
}

/** Looked up once a cell: cuts of the rectangle ask for the same cells again and again. */
function groundShare(size: number, clip: (shape: MultiPolygon) => MultiPolygon): Ground['shareOf'] {
  const known = new Map<string, number>()
  return (column, row) => {
    const key = `${column},${row}`
    let share = known.get(key)
    if (share === undefined) {
      share = planarArea(clip(rectangle([column, row, column, row], size))) / size ** 2
      known.set(key, share)
    }
    return share
  }
}

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
function mayShow(points: readonly GridPoint[], block: GridBlock, { owners, shareOf }: Ground): boolean {
  if (points.length < LEAST_REPORTS) return false
  if (!hasOneCell(spanOf(block), shareOf)) return false
  const seen = new Set(points.flatMap(({ ownerId }) => (ownerId === null ? [] : [ownerId])))
  const [left, bottom, right, top] = spanOf(block)
  for (let column = left; column <= right && seen.size < LEAST_OWNERS; column++) {
    for (let row = bottom; row <= top && seen.size < LEAST_OWNERS; row++) {
      for (const owner of owners.get(`${column},${row}`) ?? []) seen.add(owner)
    }
  }
  return seen.size >= LEAST_OWNERS
}

/** Whether the ground of a rectangle comes to one whole cell. */
function hasOneCell([left, bottom, right, top]: Span, shareOf: Ground['shareOf']): boolean {
  let sum = 0
  for (let column = left; column <= right; column++) {
    for (let row = bottom; row <= top; row++) {
      sum += shareOf(column, row)
      if (sum >= 1 - 1e-9) return true
    }
  }
  return false
}

/** The block, or its pieces by the cut that leaves the least ground, as long as one may be made. */
function split(block: GridBlock, ground: Ground): GridBlock[] {
  const [left, bottom, right, top] = spanOf(block)
  let best: { readonly sides: readonly [GridBlock, GridBlock]; readonly cover: number } | null = null
  const consider = (isFirst: (point: GridPoint) => boolean) => {
    const sides = [
      block.map(points => points.filter(isFirst)),
      block.map(points => points.filter(p => !isFirst(p))),
    ] as const
    const cover = sides.reduce((sum, side) => sum + groundOf(spanOf(side)), 0)
    if (best !== null && cover >= best.cover) return
    if (sides.every(side => side.some(points => mayShow(points, side, ground)))) best = { sides, cover }
  }
  for (let column = left + 1; column <= right; column++) consider(point => point.column < column)
  for (let row = bottom + 1; row <= top; row++) consider(point => point.row < row)
  const cut = best as { readonly sides: readonly [GridBlock, GridBlock] } | null
  return cut === null ? [block] : cut.sides.flatMap(side => split(side, ground))
}

const groundOf = ([left, bottom, right, top]: Span): number => (right - left + 1) * (top - bottom + 1)

/** The planar outline of a rectangle of cells. */
function rectangle([left, bottom, right, top]: Span, size: number): MultiPolygon {
  const [x0, y0, x1, y1] = [left * size, bottom * size, (right + 1) * size, (top + 1) * size]
  return [[Float64Array.of(x0, y0, x1, y0, x1, y1, x0, y1, x0, y0)]]
}
