import type { Position } from '../model/units.ts'
import { createTransverseMercator, longitudeWithin, type TransverseMercator } from './transverse-mercator.ts'

/** A place in a zone of the universal transverse Mercator grid, WGS 84, metres. */
export interface UtmPlace {
  readonly zone: number
  readonly isNorth: boolean
  readonly easting: number
  readonly northing: number
}

/**
 * Zone number 1-60 of a place, with the exceptions of southern Norway and Svalbard.
 * Errors: a plain Error outside 80 S to 84 N.
 * Source: NGA.SIG.0012_2.0.0_UTMUPS (2014), section 7 and table of zones.
 */
export function utmZone(longitude: number, latitude: number): number {
  if (!(latitude >= -80 && latitude <= 84) || !Number.isFinite(longitude)) {
    throw new Error(`UTM is defined from 80 S to 84 N; latitude ${latitude} is outside`)
  }
  const east = longitudeWithin(longitude)
  const zone = east === 180 ? 1 : Math.floor((east + 180) / 6) + 1
  if (latitude >= 56 && latitude < 64 && zone === 31 && east >= 3) return 32
  if (latitude >= 72 && east >= 0 && east < 42) return [31, 33, 35, 37][Math.floor((east + 3) / 12)]!
  return zone
}

/** Accuracy and cost: as the transverse Mercator; a few microseconds. Errors: as utmZone. */
export function utmFromPosition([longitude, latitude]: Position): UtmPlace {
  const zone = utmZone(longitude, latitude)
  const isNorth = latitude >= 0
  const [easting, northing] = zoneProjection(zone, isNorth).forward(longitude, latitude)
  return { zone, isNorth, easting, northing }
}

export function positionFromUtm({ zone, isNorth, easting, northing }: UtmPlace): Position {
  return zoneProjection(zone, isNorth).inverse(easting, northing)
}

const zoneProjection = (zone: number, isNorth: boolean): TransverseMercator =>
  createTransverseMercator({
    centralMeridian: zone * 6 - 183,
    originLatitude: 0,
    scale: 0.9996,
    falseEasting: 500_000,
    falseNorthing: isNorth ? 0 : 10_000_000,
  })
