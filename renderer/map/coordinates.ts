/** The pointer's place in the notations that crews and phones use, and the same notations read back. */
import type { Position } from '../../core/model/index.ts'

export const NOTATIONS = ['decimal', 'dms', 'utm'] as const
export type Notation = (typeof NOTATIONS)[number]

export function formatPlace([longitude, latitude]: Position, notation: Notation): string {
  if (notation === 'utm') return formatUtm([longitude, latitude])
  const one = notation === 'decimal' ? decimal : degreesMinutesSeconds
  return `${one(Math.abs(latitude), latitude < 0 ? 'S' : 'N')} ${one(Math.abs(longitude), longitude < 0 ? 'W' : 'E')}`
}

const decimal = (value: number, side: string) => `${value.toFixed(5)}° ${side}`

function degreesMinutesSeconds(value: number, side: string): string {
  const tenths = Math.round(value * 36_000)
  const [whole, minutes, seconds] = [Math.floor(tenths / 36_000), Math.floor(tenths / 600) % 60, (tenths % 600) / 10]
  return `${whole}° ${String(minutes).padStart(2, '0')}′ ${seconds.toFixed(1).padStart(4, '0')}″ ${side}`
}

export interface UtmPlace {
  readonly zone: number
  readonly isNorth: boolean
  readonly easting: number
  readonly northing: number
}

// WGS 84: semi-major axis in metres and third flattening n = f / (2 - f), f = 1 / 298.257223563.
const A = 6_378_137
const N = 1 / 298.257223563 / (2 - 1 / 298.257223563)
const RADIUS = (A / (1 + N)) * (1 + N ** 2 / 4 + N ** 4 / 64)
// Kruger's series to n^4, forward and back. Source: Karney (2011) Transverse Mercator with an accuracy of a few
// nanometers, J. Geodesy 85:475-485, equations 35 and 36; the terms left out are below a micrometre inside a zone.
const FORWARD = [
  N / 2 - (2 / 3) * N ** 2 + (5 / 16) * N ** 3 + (41 / 180) * N ** 4,
  (13 / 48) * N ** 2 - (3 / 5) * N ** 3 + (557 / 1440) * N ** 4,
  (61 / 240) * N ** 3 - (103 / 140) * N ** 4,
  (49_561 / 161_280) * N ** 4,
] as const
const BACK = [
  N / 2 - (2 / 3) * N ** 2 + (37 / 96) * N ** 3 - (1 / 360) * N ** 4,
  (1 / 48) * N ** 2 + (1 / 15) * N ** 3 - (437 / 1440) * N ** 4,
  (17 / 480) * N ** 3 - (37 / 840) * N ** 4,
  (4397 / 161_280) * N ** 4,
] as const
const ECCENTRICITY = (2 * Math.sqrt(N)) / (1 + N)
const SCALE = 0.9996
const FALSE_EASTING = 500_000
const FALSE_NORTHING_SOUTH = 10_000_000
const RADIAN = Math.PI / 180

export function utmFromPosition([longitude, latitude]: Position): UtmPlace {
  const zone = Math.min(60, Math.max(1, Math.floor((longitude + 180) / 6) + 1))
  const lambda = (longitude - (zone * 6 - 183)) * RADIAN
  const sine = Math.sin(latitude * RADIAN)
  const t = Math.sinh(Math.atanh(sine) - ECCENTRICITY * Math.atanh(ECCENTRICITY * sine))
  const xi = Math.atan2(t, Math.cos(lambda))
  const eta = Math.asinh(Math.sin(lambda) / Math.hypot(t, Math.cos(lambda)))
  let [north, east] = [xi, eta]
  FORWARD.forEach((term, i) => {
    const k = 2 * (i + 1)
    north += term * Math.sin(k * xi) * Math.cosh(k * eta)
    east += term * Math.cos(k * xi) * Math.sinh(k * eta)
  })
  const isNorth = latitude >= 0
  return {
    zone,
    isNorth,
    easting: FALSE_EASTING + SCALE * RADIUS * east,
    northing: SCALE * RADIUS * north + (isNorth ? 0 : FALSE_NORTHING_SOUTH),
  }
}

export function positionFromUtm({ zone, isNorth, easting, northing }: UtmPlace): Position {
  const xi = (northing - (isNorth ? 0 : FALSE_NORTHING_SOUTH)) / (SCALE * RADIUS)
  const eta = (easting - FALSE_EASTING) / (SCALE * RADIUS)
  let [north, east] = [xi, eta]
  BACK.forEach((term, i) => {
    const k = 2 * (i + 1)
    north -= term * Math.sin(k * xi) * Math.cosh(k * eta)
    east -= term * Math.cos(k * xi) * Math.sinh(k * eta)
  })
  const chi = Math.asin(Math.sin(north) / Math.cosh(east))
  const lambda = Math.atan2(Math.sinh(east), Math.cos(north))
  return [zone * 6 - 183 + lambda / RADIAN, geographicLatitude(chi) / RADIAN]
}

/** From conformal to geographic latitude by fixed-point steps; each one gains more than two digits. */
function geographicLatitude(chi: number): number {
  const psi = Math.atanh(Math.sin(chi))
  let latitude = chi
  for (let i = 0; i < 8; i++)
    latitude = Math.asin(Math.tanh(psi + ECCENTRICITY * Math.atanh(ECCENTRICITY * Math.sin(latitude))))
  return latitude
}

function formatUtm(position: Position): string {
  const { zone, isNorth, easting, northing } = utmFromPosition(position)
  return `${zone} ${isNorth ? 'N' : 'S'}  ${Math.round(easting)} m E  ${Math.round(northing)} m N`
}
