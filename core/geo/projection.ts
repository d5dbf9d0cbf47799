/// <reference path="./proj4.d.ts" />
import proj4 from 'proj4'
import { METRES_PER_FOOT } from '../model/units.ts'
import { createTransverseMercator, type Ellipsoid, GRS80, WGS84 } from './transverse-mercator.ts'

/** A map projection in its own linear unit; degrees on the globe. No datum is ever shifted. */
export interface Projection {
  /** Metres in one unit of the plane; 1 for degrees, where the projection is none. */
  readonly metresPerUnit: number
  readonly isGeographic: boolean
  /** Not finite where the projection has no point. */
  forward(longitude: number, latitude: number): [x: number, y: number]
  inverse(x: number, y: number): [longitude: number, latitude: number]
}

/** Metres in one US survey foot. Source: NIST Special Publication 811 (2008), appendix B.6: 1200/3937 m exactly. */
export const METRES_PER_US_SURVEY_FOOT = 1200 / 3937
const UNITS: Readonly<Record<string, number>> = { m: 1, ft: METRES_PER_FOOT, 'us-ft': METRES_PER_US_SURVEY_FOOT }
const ELLIPSOIDS: Readonly<Record<string, Ellipsoid>> = { WGS84, GRS80 }

/** `+key=value` pairs of a projection in PROJ's words; a key without a value holds ''. */
export function parseProjectionText(text: string): ReadonlyMap<string, string> {
  const pairs = text
    .trim()
    .split(/\s+/)
    .map(word => word.replace(/^\+/, '').split('='))
  return new Map(pairs.map(([key, value]) => [key!, value ?? '']))
}

/**
 * The projection that a text of the table or of a working frame names.
 * Transverse Mercator is computed here (to nanometres), the conic and cylindrical ones by proj4.
 * Errors: a plain Error for a text that neither knows; texts come from the table, never from a file.
 */
export function createProjection(text: string): Projection {
  const words = parseProjectionText(text)
  const kind = words.get('proj')
  if (kind === 'longlat') {
    return { metresPerUnit: 1, isGeographic: true, forward: (x, y) => [x, y], inverse: (x, y) => [x, y] }
  }
  const metresPerUnit = UNITS[words.get('units') ?? 'm']
  if (metresPerUnit === undefined) throw new Error(`Unit ${words.get('units')} is not known`)
  const inMetres = kind === 'utm' || kind === 'tmerc' ? transverseMercatorOf(words) : throughProj4(text)
  if (metresPerUnit === 1) return { metresPerUnit, isGeographic: false, ...inMetres }
  return {
    metresPerUnit,
    isGeographic: false,
    forward(longitude, latitude) {
      const [x, y] = inMetres.forward(longitude, latitude)
      return [x / metresPerUnit, y / metresPerUnit]
    },
    inverse: (x, y) => inMetres.inverse(x * metresPerUnit, y * metresPerUnit),
  }
}

type PlainProjection = Pick<Projection, 'forward' | 'inverse'>

function transverseMercatorOf(words: ReadonlyMap<string, string>): PlainProjection {
  const ellipsoid = ELLIPSOIDS[words.get('ellps') ?? '']
  if (ellipsoid === undefined) throw new Error(`Ellipsoid ${words.get('ellps')} is not known`)
  if (words.get('proj') === 'utm') {
    return createTransverseMercator({
      centralMeridian: Number(words.get('zone')) * 6 - 183,
      originLatitude: 0,
      scale: 0.9996,
      falseEasting: 500000,
      falseNorthing: words.has('south') ? 10000000 : 0,
      ellipsoid,
    })
  }
  const number = (key: string, otherwise: number) => Number(words.get(key) ?? otherwise)
  return createTransverseMercator({
    centralMeridian: number('lon_0', 0),
    originLatitude: number('lat_0', 0),
    scale: number('k', number('k_0', 1)),
    falseEasting: number('x_0', 0),
    falseNorthing: number('y_0', 0),
    ellipsoid,
  })
}

const DEGREE = Math.PI / 180

function throughProj4(text: string): PlainProjection {
  const projection = new proj4.Proj(`${text} +no_defs`)
  const plain = (point: { x: number; y: number } | undefined, unit: number): [number, number] =>
    point === undefined ? [Number.NaN, Number.NaN] : [point.x / unit, point.y / unit]
  return {
    forward: (longitude, latitude) => plain(projection.forward({ x: longitude * DEGREE, y: latitude * DEGREE }), 1),
    inverse: (x, y) => plain(projection.inverse({ x, y }), DEGREE),
  }
}
