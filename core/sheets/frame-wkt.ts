import type { WorkingFrame } from '../geo/index.ts'

const WGS84 =
  'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],' +
  'AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],' +
  'UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]'

interface TransverseMercator {
  readonly name: string
  readonly latitude: number
  readonly meridian: number
  readonly factor: number
  readonly falseEasting: number
  readonly falseNorthing: number
}

/**
 * The frame's coordinate reference system as well-known text 1.
 * Errors: a plain Error for a frame that is neither UTM on WGS 84 nor a PROJ text of a transverse Mercator.
 * Source: OGC 01-009 (well-known text); UTM parameters EPSG:16001-16160.
 */
export function wktOfFrame(frame: WorkingFrame): string {
  const utm = findUtmZone(frame.crs)
  const projection = utm === null ? parseTransverseMercator(frame) : utmProjection(utm.zone, utm.isNorth)
  const parameters = [
    ['latitude_of_origin', projection.latitude],
    ['central_meridian', projection.meridian],
    ['scale_factor', projection.factor],
    ['false_easting', projection.falseEasting],
    ['false_northing', projection.falseNorthing],
  ].map(([name, value]) => `PARAMETER["${name}",${value}]`)
  const authority = utm === null ? '' : `,AUTHORITY["EPSG","${frame.crs.slice(5)}"]`
  return (
    `PROJCS["${projection.name}",${WGS84},PROJECTION["Transverse_Mercator"],${parameters.join(',')},` +
    `UNIT["metre",1,AUTHORITY["EPSG","9001"]],AXIS["Easting",EAST],AXIS["Northing",NORTH]${authority}]`
  )
}

/** Zone and hemisphere of a WGS 84 UTM code (EPSG:32601-32660, 32701-32760); null for anything else. */
export function findUtmZone(crs: string): { readonly zone: number; readonly isNorth: boolean } | null {
  const match = /^EPSG:32([67])(\d\d)$/.exec(crs)
  if (match === null) return null
  const zone = Number(match[2])
  return zone >= 1 && zone <= 60 ? { zone, isNorth: match[1] === '6' } : null
}

function utmProjection(zone: number, isNorth: boolean): TransverseMercator {
  return {
    name: `WGS 84 / UTM zone ${zone}${isNorth ? 'N' : 'S'}`,
    latitude: 0,
    meridian: zone * 6 - 183,
    factor: 0.9996,
    falseEasting: 500_000,
    falseNorthing: isNorth ? 0 : 10_000_000,
  }
}

function parseTransverseMercator(frame: WorkingFrame): TransverseMercator {
  if (!/\+proj=tmerc\b/.test(frame.crs)) throw new Error(`A sheet cannot be georeferenced in ${frame.crs}.`)
  const value = (keys: string, absent: number) => {
    const match = new RegExp(`\\+(?:${keys})=([-+0-9.eE]+)`).exec(frame.crs)
    return match === null ? absent : Number(match[1])
  }
  return {
    name: frame.name.replace(/"/g, "'"),
    latitude: value('lat_0', 0),
    meridian: value('lon_0', 0),
    factor: value('k_0|k', 1),
    falseEasting: value('x_0', 0),
    falseNorthing: value('y_0', 0),
  }
}
