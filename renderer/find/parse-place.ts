import { parseGridReference, positionFromUtm } from '../../core/geo/index.ts'
import type { Position } from '../../core/model/index.ts'

/**
 * A place from typed coordinates: decimal degrees, degrees with minutes and seconds, UTM (`23 N 430000 3950000`) or a
 * reference of the national grid with at least a digit each way (`23S MV 3095 5236`).
 * Latitude comes first unless letters say otherwise. Null where the text is no place.
 */
export function parsePlace(text: string): Position | null {
  const clean = text.trim().toUpperCase()
  return parseUtm(clean) ?? parseGrid(clean) ?? parseAngles(clean)
}

/** A square of 100 km is no place to go to, and its letters may be the start of a name. */
const parseGrid = (text: string): Position | null => (/\d{2}$|\d\s\d$/.test(text) ? parseGridReference(text) : null)

function parseUtm(text: string): Position | null {
  const match = /^(\d{1,2})\s*([NS])\s+(\d{6}(?:\.\d+)?)\s*(?:M?\s*E)?[\s,]+(\d{1,8}(?:\.\d+)?)\s*(?:M?\s*N)?$/.exec(
    text,
  )
  if (match === null) return null
  const zone = Number(match[1])
  if (zone < 1 || zone > 60) return null
  return checked(
    positionFromUtm({ zone, isNorth: match[2] === 'N', easting: Number(match[3]), northing: Number(match[4]) }),
  )
}

const ANGLE =
  /([NSEW])?\s*([-+−]?\d+(?:\.\d+)?)\s*°?\s*(?:(\d+(?:\.\d+)?)\s*['′]\s*)?(?:(\d+(?:\.\d+)?)\s*["″]\s*)?([NSEW])?/g

function parseAngles(text: string): Position | null {
  const angles = [...text.matchAll(ANGLE)].map(readAngle)
  if (angles.length !== 2 || text.replace(ANGLE, '').replace(/[\s,;]/g, '') !== '') return null
  const [first, second] = angles as [Angle, Angle]
  const isTurned = first.axis === 'longitude' || second.axis === 'latitude'
  if (first.axis !== null && first.axis === second.axis) return null
  return checked(isTurned ? [first.value, second.value] : [second.value, first.value])
}

interface Angle {
  readonly value: number
  readonly axis: 'latitude' | 'longitude' | null
}

function readAngle(match: RegExpExecArray): Angle {
  const side = match[1] ?? match[5]
  const degrees = Number(match[2]!.replace('−', '-'))
  const size = Math.abs(degrees) + Number(match[3] ?? 0) / 60 + Number(match[4] ?? 0) / 3600
  const isNegative = match[2]!.startsWith('-') || match[2]!.startsWith('−') || side === 'S' || side === 'W'
  const axis = side === undefined ? null : side === 'N' || side === 'S' ? 'latitude' : 'longitude'
  return { value: isNegative ? -size : size, axis }
}

const checked = (position: Position): Position | null =>
  Math.abs(position[0]) <= 180 && Math.abs(position[1]) <= 90 ? position : null
