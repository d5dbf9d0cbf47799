import { type Crs, METRES_PER_UNIT } from './crs-table.ts'
import { parseProjectionText } from './projection.ts'
import { GRS80, WGS84 } from './transverse-mercator.ts'
import { findNode, nodeName, type WktNode } from './wkt.ts'

/** What makes two systems the same: datum, method, parameters (degrees and metres) and unit. */
export interface CrsShape {
  readonly datum: Datum
  readonly method: Method
  /** Metres in one unit of the plane; 1 for degrees. */
  readonly metresPerUnit: number
  readonly longitude: number
  readonly latitude: number
  /** Ascending; both 0 where the method has none. */
  readonly parallels: readonly [number, number]
  readonly scale: number
  readonly falseEasting: number
  readonly falseNorthing: number
}

type Datum = 'WGS 84' | 'NAD83' | 'NAD83(HARN)' | 'NAD83(NSRS2007)' | 'NAD83(2011)'
type Method = 'longlat' | 'tmerc' | 'lcc' | 'aea' | 'web'

/** Largest differences under which two texts still mean one system: writers round parameters. */
const TOLERANCE = { angle: 1e-8, length: 5e-3, scale: 1e-9, unit: 1e-9 }

export function describesSameCrs(a: CrsShape, b: CrsShape): boolean {
  return (
    a.datum === b.datum &&
    a.method === b.method &&
    Math.abs(a.metresPerUnit - b.metresPerUnit) <= TOLERANCE.unit &&
    Math.abs(a.longitude - b.longitude) <= TOLERANCE.angle &&
    Math.abs(a.latitude - b.latitude) <= TOLERANCE.angle &&
    Math.abs(a.parallels[0] - b.parallels[0]) <= TOLERANCE.angle &&
    Math.abs(a.parallels[1] - b.parallels[1]) <= TOLERANCE.angle &&
    Math.abs(a.scale - b.scale) <= TOLERANCE.scale &&
    Math.abs(a.falseEasting - b.falseEasting) <= TOLERANCE.length &&
    Math.abs(a.falseNorthing - b.falseNorthing) <= TOLERANCE.length
  )
}

/** How far the false origins of two shapes are apart, metres; decides between systems that both fit. */
export const shapeDistance = (a: CrsShape, b: CrsShape): number =>
  Math.hypot(a.falseEasting - b.falseEasting, a.falseNorthing - b.falseNorthing)

/**
 * Whether the text of a projection may have that shape, by its method and central meridian alone: nearly all systems of the
 * table are told apart by these two, without reading their text in full.
 */
export function mayDescribe(projection: string, shape: CrsShape): boolean {
  const kind = wordOf(projection, '+proj=')
  const method = kind === 'utm' ? 'tmerc' : kind === 'merc' ? 'web' : kind
  if (method !== shape.method) return false
  const meridian =
    kind === 'utm' ? centralMeridianOf(wordOf(projection, '+zone=')) : Number(wordOf(projection, '+lon_0='))
  return Math.abs(meridian - shape.longitude) <= TOLERANCE.angle
}

/** What follows a key up to the next blank; '' where the key is not there. */
function wordOf(text: string, key: string): string {
  const at = text.indexOf(key)
  if (at < 0) return ''
  const end = text.indexOf(' ', at)
  return text.slice(at + key.length, end < 0 ? undefined : end)
}

const centralMeridianOf = (zone: string): number => Number(zone) * 6 - 183

/** The shape of a system of the table. */
export function shapeOfEntry(crs: Crs): CrsShape {
  const words = parseProjectionText(crs.projection)
  const number = (key: string, otherwise = 0) => Number(words.get(key) ?? otherwise)
  const kind = words.get('proj')!
  const datum = (/^NAD83(\([A-Z0-9]+\))?|^WGS 84/.exec(crs.name)?.[0] ?? crs.name) as Datum
  const metresPerUnit = crs.unit === 'degree' ? 1 : METRES_PER_UNIT[crs.unit]
  if (kind === 'utm') {
    const falseNorthing = words.has('south') ? 10000000 : 0
    const longitude = centralMeridianOf(words.get('zone')!)
    return {
      ...NO_PARAMETERS,
      datum,
      method: 'tmerc',
      metresPerUnit,
      longitude,
      scale: 0.9996,
      falseEasting: 500000,
      falseNorthing,
    }
  }
  return {
    datum,
    method: kind === 'merc' ? 'web' : (kind as Method),
    metresPerUnit,
    longitude: number('lon_0'),
    latitude: number('lat_0'),
    parallels: ascending(number('lat_1'), number('lat_2', number('lat_1'))),
    scale: number('k', number('k_0', 1)),
    falseEasting: number('x_0'),
    falseNorthing: number('y_0'),
  }
}

const NO_PARAMETERS = {
  longitude: 0,
  latitude: 0,
  parallels: [0, 0],
  scale: 1,
  falseEasting: 0,
  falseNorthing: 0,
} as const

const ascending = (a: number, b: number): [number, number] => (a <= b ? [a, b] : [b, a])

/** The shape that a WKT describes; null where its datum or method is not among those let in. */
export function shapeOfWkt(node: WktNode): CrsShape | null {
  const isProjected = ['PROJCS', 'PROJCRS', 'PROJECTEDCRS'].includes(node.keyword)
  const globe = isProjected
    ? findNode(node, ...GLOBES, 'BASEGEOGCRS', 'BASEGEODCRS')
    : GLOBES.includes(node.keyword)
      ? node
      : undefined
  const datum = globe === undefined ? null : datumOf(globe)
  if (globe === undefined || datum === null) return null
  if (!isProjected) return { ...NO_PARAMETERS, datum, method: 'longlat', metresPerUnit: 1 }
  const conversion = findNode(node, 'CONVERSION') ?? node
  const method = methodOf(nodeName(findNode(conversion, 'PROJECTION', 'METHOD')), nodeName(node))
  const metresPerUnit = unitOf(node, 'UNIT', 'LENGTHUNIT')
  if (method === null || metresPerUnit === undefined || !(metresPerUnit > 0)) return null
  if (method === 'web') {
    const isPlain = parametersOf(conversion, metresPerUnit).every(
      ([name, value]) => value === (/scale/.test(name) ? 1 : 0),
    )
    return isPlain ? { ...NO_PARAMETERS, datum, method, metresPerUnit } : null
  }
  return shapeOfParameters({ datum, method, metresPerUnit }, new Map(parametersOf(conversion, metresPerUnit)))
}

const GLOBES = ['GEOGCS', 'GEOGCRS', 'GEODCRS', 'GEOGRAPHICCRS', 'GEODETICCRS']

function shapeOfParameters(
  fixed: Pick<CrsShape, 'datum' | 'method' | 'metresPerUnit'>,
  parameters: ReadonlyMap<string, number>,
): CrsShape {
  const first = (otherwise: number, ...names: string[]) => {
    for (const name of names) {
      const value = parameters.get(name)
      if (value !== undefined) return value
    }
    return otherwise
  }
  const latitude = first(0, 'latitudeoforigin', 'latitudeofnaturalorigin', 'latitudeoffalseorigin', 'latitudeofcenter')
  const isConic = fixed.method === 'lcc' || fixed.method === 'aea'
  const parallel = isConic ? first(latitude, 'standardparallel1', 'latitudeof1ststandardparallel') : 0
  const second = isConic ? first(parallel, 'standardparallel2', 'latitudeof2ndstandardparallel') : 0
  return {
    ...fixed,
    latitude,
    longitude: first(0, 'centralmeridian', 'longitudeofnaturalorigin', 'longitudeoffalseorigin', 'longitudeofcenter'),
    parallels: ascending(parallel, second),
    scale: first(1, 'scalefactor', 'scalefactoratnaturalorigin'),
    falseEasting: first(0, 'falseeasting', 'eastingatfalseorigin'),
    falseNorthing: first(0, 'falsenorthing', 'northingatfalseorigin'),
  }
}

/** Parameters by plain name: lengths in metres, angles in degrees (the unit that `datumOf` insists on, or their own). */
function parametersOf(conversion: WktNode, metresPerUnit: number): [name: string, value: number][] {
  return conversion.children
    .filter(child => child.keyword === 'PARAMETER')
    .map(child => {
      const name = plain(nodeName(child))
      const value = Number(child.values[1])
      const own = Number(findNode(child, 'LENGTHUNIT')?.values[1] ?? metresPerUnit)
      const turn = Number(findNode(child, 'ANGLEUNIT')?.values[1] ?? DEGREE) / DEGREE
      // A factor of degrees that was written to 15 digits must not change the angle.
      return [name, /easting|northing/.test(name) ? value * own : Math.abs(turn - 1) < 1e-9 ? value : value * turn]
    })
}

function methodOf(method: string, name: string): Method | null {
  const text = plain(method)
  if (/^mercatorauxiliarysphere$|^popularvisualisationpseudomercator$/.test(text)) return 'web'
  if (text === 'mercator1sp' && plain(name) === 'wgs84pseudomercator') return 'web'
  if (/^(transversemercator|gausskruger)$/.test(text)) return 'tmerc'
  if (/^lambert(conformalconic|conicconformal)([12]sp)?$/.test(text)) return 'lcc'
  return /^albers(conicequalarea|equalarea)?$/.test(text) ? 'aea' : null
}

/** The datum of a geographic system in degrees from Greenwich; null for any other, and where a shift to WGS 84 is asked for. */
function datumOf(globe: WktNode): Datum | null {
  const datum = findNode(globe, 'DATUM', 'ENSEMBLE', 'GEODETICDATUM', 'TRF')
  const spheroid = datum && findNode(datum, 'SPHEROID', 'ELLIPSOID')
  if (datum === undefined || spheroid === undefined) return null
  const shift = findNode(datum, 'TOWGS84')?.values ?? []
  const meridian = findNode(globe, 'PRIMEM', 'PRIMEMERIDIAN')?.values[1] ?? 0
  const unit = unitOf(globe, 'UNIT', 'ANGLEUNIT') ?? DEGREE
  const isPlain = shift.every(value => value === 0) && meridian === 0 && Math.abs(unit - DEGREE) < 1e-12
  const found = datumNamed(plain(nodeName(datum)))
  if (!isPlain || found === null) return null
  const ellipsoid = found === 'WGS 84' ? WGS84 : GRS80
  const [a, inverseFlattening] = [Number(spheroid.values[1]), Number(spheroid.values[2])]
  const isIts = Math.abs(a - ellipsoid.a) < 1e-3 && Math.abs(inverseFlattening - ellipsoid.inverseFlattening) < 1e-5
  return isIts ? found : null
}

function datumNamed(name: string): Datum | null {
  const text = name.replace(/^d(?=wgs|northamerican|nad)/, '')
  if (/^(wgs1984|wgs84|worldgeodeticsystem1984)(ensemble)?$/.test(text)) return 'WGS 84'
  if (/^(northamericandatum1983|northamerican1983|nad1983|nad83)$/.test(text)) return 'NAD83'
  if (/^(northamerican1983harn|nad83highaccuracyreferencenetwork)$/.test(text)) return 'NAD83(HARN)'
  if (/^(nad1983nsrs2007|nad83nationalspatialreferencesystem2007)$/.test(text)) return 'NAD83(NSRS2007)'
  return /^(nad19832011|nad83nationalspatialreferencesystem2011)$/.test(text) ? 'NAD83(2011)' : null
}

/** Factor of the unit of a system, which stands in the system itself or, in WKT 2, in its axes. */
function unitOf(node: WktNode, ...keywords: string[]): number | undefined {
  const axis = findNode(node, 'AXIS')
  const unit = findNode(node, ...keywords) ?? (axis && findNode(axis, ...keywords))
  return unit === undefined ? undefined : Number(unit.values[1])
}

const DEGREE = Math.PI / 180

const plain = (text: string): string => text.toLowerCase().replace(/[^a-z0-9]/g, '')
