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

/** A square of ground with the number of reports in it. */
export interface ReportCell {
  /** Degrees, closed, counter-clockwise. */
  readonly outline: Polygon
  /** Edge, metres in the frame. */
  readonly size: number
  readonly reports: number
  readonly owners: number
}

export interface CellCover {
  readonly cells: readonly ReportCell[]
  /** Reports that no cell may show: too few people or reports in all. */
  readonly hidden: number
}

interface PlanarPoint {
  readonly x: number
  readonly y: number
  readonly ownerId: string | null
}

/**
 * Covers points with squares of at least `size` metres, each with at least 5 owners and 3 reports.
 * One square that holds everything is cut into quarters as long as every quarter with a report in it still may be shown; so squares
 * are disjoint, a lonely report makes its square grow, and no difference of two counts gives a small one away.
 * `holders` are places of owners that count as owners of the square without a report (parcels); without them the owners of the
 * reports' ground count alone.
 * Errors: InputError for a size under 1 km.
 */
export function cellsOf(
  points: readonly OwnedPoint[],
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
  if (points.length === 0) return { cells: [], hidden: 0 }
  const place = ({ longitude, latitude, ownerId }: OwnedPoint): PlanarPoint => {
    const [x, y] = frame.toPlane(longitude, latitude)
    return { x, y, ownerId }
  }
  const planar = points.map(place)
  const root = rootSquare(planar, size)
  const inRoot = holders.map(place).filter(point => isIn(root, point))
  const squares = split(root, planar, inRoot, size)
  if (squares === null) return { cells: [], hidden: points.length }
  return { cells: squares.map(square => cellFrom(square, frame)), hidden: 0 }
}

interface Square {
  readonly x: number
  readonly y: number
  readonly size: number
}

interface CountedSquare extends Square {
  readonly reports: number
  readonly owners: number
}

/** The smallest square of edge size x 2^k, on multiples of its own edge, that holds every point. */
function rootSquare(points: readonly PlanarPoint[], size: number): Square {
  for (let edge = size; ; edge *= 2) {
    const [x, y] = [Math.floor(points[0]!.x / edge) * edge, Math.floor(points[0]!.y / edge) * edge]
    const square = { x, y, size: edge }
    if (points.every(point => isIn(square, point))) return square
    // Points on both sides of a line that all edges share (an axis of the frame) never meet in one aligned square.
    if (edge > 1e8) return surrounding(points, size)
  }
}

function surrounding(points: readonly PlanarPoint[], size: number): Square {
  const xs = points.map(point => point.x)
  const ys = points.map(point => point.y)
  const x = Math.floor(Math.min(...xs) / size) * size
  const y = Math.floor(Math.min(...ys) / size) * size
  let edge = size
  while (x + edge <= Math.max(...xs) || y + edge <= Math.max(...ys)) edge *= 2
  return { x, y, size: edge }
}

const isIn = ({ x, y, size }: Square, point: PlanarPoint): boolean =>
  point.x >= x && point.x < x + size && point.y >= y && point.y < y + size

/** The square, or its quarters where all of them may be shown; null where the square itself may not. */
function split(
  square: Square,
  points: readonly PlanarPoint[],
  holders: readonly PlanarPoint[],
  least: number,
): CountedSquare[] | null {
  const owners = new Set([...points, ...holders].flatMap(({ ownerId }) => (ownerId === null ? [] : [ownerId])))
  if (points.length < LEAST_REPORTS || owners.size < LEAST_OWNERS) return null
  const whole = { ...square, reports: points.length, owners: owners.size }
  if (square.size < 2 * least) return [whole]
  const half = square.size / 2
  const quarters: CountedSquare[] = []
  for (const [dx, dy] of [
    [0, 0],
    [half, 0],
    [0, half],
    [half, half],
  ] as const) {
    const quarter = { x: square.x + dx, y: square.y + dy, size: half }
    const inside = points.filter(point => isIn(quarter, point))
    if (inside.length === 0) continue
    const parts = split(
      quarter,
      inside,
      holders.filter(point => isIn(quarter, point)),
      least,
    )
    if (parts === null) return [whole]
    quarters.push(...parts)
  }
  return quarters
}

function cellFrom({ x, y, size, reports, owners }: CountedSquare, frame: WorkingFrame): ReportCell {
  const corners = [
    [x, y],
    [x + size, y],
    [x + size, y + size],
    [x, y + size],
    [x, y],
  ] as const
  const outline = Float64Array.from(corners.flatMap(([cx, cy]) => [...frame.toGlobe(cx, cy)]))
  return { outline: [outline], size, reports, owners }
}
