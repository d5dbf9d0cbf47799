import { findDegreeFault } from '../crs-of-file.ts'
import { parsePlainNumber } from './csv-columns.ts'

export interface CoordinateColumns {
  readonly x: number
  readonly y: number
  /** The names say longitude and latitude, not merely x and y. */
  readonly isNamedDegrees: boolean
}

/** Names by which columns are plainly coordinates, best first; spaces, case and marks do not count. */
const PAIRS: readonly (readonly [x: string, y: string])[] = [
  ['lon', 'lat'],
  ['longitude', 'latitude'],
  ['decimallongitude', 'decimallatitude'],
  ['lng', 'lat'],
  ['long', 'lat'],
  ['londd', 'latdd'],
  ['x', 'y'],
  ['xcoord', 'ycoord'],
  ['pointx', 'pointy'],
]
const PROJECTED_PAIRS: typeof PAIRS = [
  ['easting', 'northing'],
  ['utme', 'utmn'],
  ['utmx', 'utmy'],
]

const plain = (name: string): string =>
  name
    .toLowerCase()
    .replace(/\(.*\)/, '')
    .replace(/[^a-z]/g, '')

/** The columns whose names say coordinates; easting and northing only where a CRS was named. */
export function findCoordinateColumns(names: readonly string[], hasCrs: boolean): CoordinateColumns | undefined {
  const known = names.map(plain)
  for (const [x, y] of hasCrs ? [...PAIRS, ...PROJECTED_PAIRS] : PAIRS) {
    const [column, row] = [known.indexOf(x), known.indexOf(y)]
    if (column >= 0 && row >= 0) return { x: column, y: row, isNamedDegrees: x.includes('lon') || x === 'lng' }
  }
  const mixedX = known.findIndex(name => name.startsWith('lon') && PAIRS.some(pair => pair[0] === name))
  const mixedY = known.findIndex(name => name.startsWith('lat') && PAIRS.some(pair => pair[1] === name))
  return mixedX >= 0 && mixedY >= 0 ? { x: mixedX, y: mixedY, isNamedDegrees: true } : undefined
}

/** A position from two cells: the position, `blank` where both are, or what is wrong and in which of the two. */
export type CellPosition =
  | { readonly x: number; readonly y: number }
  | 'blank'
  | { readonly fault: string; readonly at: 'x' | 'y' }

export function parseCellPosition(xCell: string | null, yCell: string | null, hasDecimalComma: boolean): CellPosition {
  if (xCell === null && yCell === null) return 'blank'
  const x = xCell === null ? undefined : parseCoordinate(xCell, hasDecimalComma)
  const y = yCell === null ? undefined : parseCoordinate(yCell, hasDecimalComma)
  if (x !== undefined && y !== undefined) return { x, y }
  const [cell, at] = x === undefined ? ([xCell, 'x'] as const) : ([yCell, 'y'] as const)
  return { fault: cell === null ? 'The coordinate is blank' : 'The coordinate is not a number', at }
}

/** The position, or what keeps it from being degrees. */
export function asDegrees(position: CellPosition): CellPosition {
  const fault = position === 'blank' || 'fault' in position ? undefined : findDegreeFault(position.x, position.y)
  if (fault === undefined) return position
  return { fault: `${fault[0]!.toUpperCase()}${fault.slice(1)}`, at: fault.startsWith('longitude') ? 'x' : 'y' }
}

/** What nearly all cells hold; the rest is looked at more closely. */
const PLAIN_DECIMAL = /^-?\d{1,14}(?:\.\d+)?$/

/** A decimal number, leading zeros and a plus sign allowed; NaN, Infinity and degrees-minutes are none. */
export function parseCoordinate(cell: string, hasDecimalComma: boolean): number | undefined {
  if (PLAIN_DECIMAL.test(cell)) return Number(cell)
  const sign = /^\s*([+-]?)0*(\d.*|[.,]\d+)?\s*$/.exec(cell)
  if (!sign || !/\d/.test(cell)) return undefined
  const rest = (sign[2] ?? '0').replace(/^[.,]/, mark => `0${mark}`)
  const value = parsePlainNumber(rest, hasDecimalComma)
  return value === undefined ? undefined : sign[1] === '-' ? -value : value
}
