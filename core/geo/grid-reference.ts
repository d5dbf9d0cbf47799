/**
 * References of the United States National Grid, the same as those of the military grid on WGS 84 between 80 S and
 * 84 N: zone and band, 100 km square, digits of easting and northing.
 * Source: FGDC-STD-011-2001, United States National Grid, section 3; NGA.STND.0037_2.0.0_GRIDS (2014), appendix B.
 */
import type { Position } from '../model/units.ts'
import { positionFromUtm, utmFromPosition, utmZone } from './utm.ts'

const BANDS = 'CDEFGHJKLMNPQRSTUVWX'
/** Letters of the eastings by zone modulo 3, eight squares a zone; I and O are left out. */
const COLUMNS = ['STUVWXYZ', 'ABCDEFGH', 'JKLMNPQR'] as const
const ROWS = 'ABCDEFGHJKLMNPQRSTUV'
const SQUARE = 100_000
/** Northings repeat their letters after twenty squares. */
const CYCLE = ROWS.length * SQUARE

/**
 * Range: `digits` 0-5 for each of easting and northing: 5 names a square of 1 m, 4 of 10 m. Digits are cut, never
 * rounded, so that the reference names the square that holds the place. Absent: null outside 80 S to 84 N.
 */
export function formatGridReference(position: Position, digits = 5): string | null {
  const [, latitude] = position
  if (!(latitude >= -80 && latitude <= 84)) return null
  const { zone, easting, northing } = utmFromPosition(position)
  // A place on a line of the grid must not fall below it by rounding of the projection.
  const [east, north] = [Math.floor(easting + 1e-6), Math.floor(northing + 1e-6)]
  const square = columnLetters(zone)[Math.floor(east / SQUARE) - 1]! + rowLetter(zone, north)
  const figures = [east, north].map(value =>
    String(value % SQUARE)
      .padStart(5, '0')
      .slice(0, digits),
  )
  return [`${zone}${bandOf(latitude)}`, square, ...(digits > 0 ? figures : [])].join(' ')
}

const SHAPE = /^(\d{1,2})\s*([C-HJ-NP-X])\s*([A-HJ-NP-Z])([A-HJ-NP-V])\s*(\d*)\s*(\d*)$/

/**
 * The middle of the square that a reference names, written with or without spaces, in any case.
 * Absent: null where the text is no reference, or names a square that does not lie in its zone and band.
 */
export function parseGridReference(text: string): Position | null {
  const match = SHAPE.exec(text.trim().toUpperCase())
  if (match === null) return null
  const [, zoneText, band, column, row] = match
  const figures = `${match[5]}${match[6]}`
  if (figures.length % 2 === 1 || figures.length > 10) return null
  if (match[6] !== '' && match[5]!.length !== match[6]!.length) return null
  const zone = Number(zoneText)
  const columnAt = zone >= 1 && zone <= 60 ? columnLetters(zone).indexOf(column!) : -1
  if (columnAt < 0) return null
  const size = SQUARE / 10 ** (figures.length / 2)
  const east = (columnAt + 1) * SQUARE + readFigures(figures.slice(0, figures.length / 2)) + size / 2
  const isEven = zone % 2 === 0
  const rowAt = (ROWS.indexOf(row!) - (isEven ? 5 : 0) + ROWS.length) % ROWS.length
  const north = rowAt * SQUARE + readFigures(figures.slice(figures.length / 2)) + size / 2
  return inBand({ zone, band: band!, east, north, size })
}

interface SquareMiddle {
  readonly zone: number
  readonly band: string
  readonly east: number
  /** Within its cycle of letters. */
  readonly north: number
  readonly size: number
}

/** Of the northings with these letters the one whose square meets the band; squares on a band's edge belong to both. */
function inBand({ zone, band, east, north, size }: SquareMiddle): Position | null {
  const isNorth = band >= 'N'
  for (let cycle = 0; cycle < 5; cycle++) {
    const northing = north + cycle * CYCLE
    if (northing > 10_000_000) return null
    const corners = [-size / 2, 0, size / 2].map(step =>
      positionFromUtm({ zone, isNorth, easting: east, northing: northing + step }),
    )
    const isMet = corners.some(([, latitude]) => isWithinBand(latitude, band))
    const middle = corners[1]!
    if (isMet && isInZone(middle, zone, east)) return middle
  }
  return null
}

const isWithinBand = (latitude: number, band: string): boolean =>
  latitude >= -80 && latitude <= 84 && bandOf(latitude) === band

/** Squares reach over the edge of their zone by at most their own side. */
function isInZone([longitude, latitude]: Position, zone: number, east: number): boolean {
  if (!(latitude >= -80 && latitude <= 84)) return false
  if (utmZone(longitude, latitude) === zone) return true
  const inward = east < 500_000 ? SQUARE : -SQUARE
  const { northing } = utmFromPosition([longitude, latitude])
  const [towards, at] = positionFromUtm({ zone, isNorth: latitude >= 0, easting: east + inward, northing })
  return utmZone(towards, at) === zone
}

const readFigures = (figures: string): number => (figures === '' ? 0 : Number(figures.padEnd(5, '0')))

/** Bands are 8 degrees high from 80 S; the last one, X, reaches to 84 N. */
const bandOf = (latitude: number): string => BANDS[Math.min(BANDS.length - 1, Math.floor((latitude + 80) / 8))]!

const columnLetters = (zone: number): string => COLUMNS[zone % 3]!

const rowLetter = (zone: number, northing: number): string =>
  ROWS[(Math.floor(northing / SQUARE) + (zone % 2 === 0 ? 5 : 0)) % ROWS.length]!
