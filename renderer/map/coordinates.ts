/** A place in the notations that crews and phones use. */
import { formatGridReference, utmFromPosition } from '../../core/geo/index.ts'
import type { Position } from '../../core/model/index.ts'

export const NOTATIONS = ['decimal', 'dms', 'utm', 'usng'] as const
export type Notation = (typeof NOTATIONS)[number]

/** Absent: a dash where the notation does not reach, as UTM and USNG near the poles. */
export function formatPlace(place: Position, notation: Notation): string {
  const [longitude, latitude] = place
  if (notation === 'utm') return formatUtm(place)
  if (notation === 'usng') return formatGridReference(place) ?? ABSENT
  const one = notation === 'decimal' ? decimal : degreesMinutesSeconds
  return `${one(Math.abs(latitude), latitude < 0 ? 'S' : 'N')} ${one(Math.abs(longitude), longitude < 0 ? 'W' : 'E')}`
}

const ABSENT = '–'

const decimal = (value: number, side: string) => `${value.toFixed(5)}° ${side}`

function degreesMinutesSeconds(value: number, side: string): string {
  const tenths = Math.round(value * 36_000)
  const [whole, minutes, seconds] = [Math.floor(tenths / 36_000), Math.floor(tenths / 600) % 60, (tenths % 600) / 10]
  return `${whole}° ${String(minutes).padStart(2, '0')}′ ${seconds.toFixed(1).padStart(4, '0')}″ ${side}`
}

function formatUtm(place: Position): string {
  const [, latitude] = place
  if (!(latitude >= -80 && latitude <= 84)) return ABSENT
  const { zone, isNorth, easting, northing } = utmFromPosition(place)
  return `${zone} ${isNorth ? 'N' : 'S'}  ${Math.round(easting)} m E  ${Math.round(northing)} m N`
}
