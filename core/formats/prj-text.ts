import type { Crs } from '../geo/index.ts'

/** Datums of the table as .prj files name them, with their ellipsoids. */
const DATUMS: Readonly<Record<string, readonly [system: string, datum: string, spheroid: string]>> = {
  'WGS 84': ['GCS_WGS_1984', 'D_WGS_1984', 'SPHEROID["WGS_1984",6378137.0,298.257223563]'],
  NAD83: ['GCS_North_American_1983', 'D_North_American_1983', 'SPHEROID["GRS_1980",6378137.0,298.257222101]'],
  'NAD83(HARN)': [
    'GCS_North_American_1983_HARN',
    'D_North_American_1983_HARN',
    'SPHEROID["GRS_1980",6378137.0,298.257222101]',
  ],
  'NAD83(NSRS2007)': ['GCS_NAD_1983_NSRS2007', 'D_NAD_1983_NSRS2007', 'SPHEROID["GRS_1980",6378137.0,298.257222101]'],
  'NAD83(2011)': ['GCS_NAD_1983_2011', 'D_NAD_1983_2011', 'SPHEROID["GRS_1980",6378137.0,298.257222101]'],
}

const UNITS: Readonly<Record<string, readonly [name: string, metres: number]>> = {
  m: ['Meter', 1],
  ft: ['Foot', 0.3048],
  'us-ft': ['Foot_US', 1200 / 3937],
}

/**
 * A system of the table as the text of a .prj file.
 * Source: OGC 01-009 (2001), clause 7, in the dialect of the Shapefile's makers; false origins in the unit of the plane.
 */
export function prjTextOf(crs: Crs): string {
  const words = new Map(crs.projection.split(' ').map(word => word.slice(1).split('=') as [string, string | undefined]))
  const [datumName, zone = ''] = crs.name.split(' / ')
  const [system, datum, spheroid] = DATUMS[datumName!]!
  const globe = `GEOGCS["${system}",DATUM["${datum}",${spheroid}],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]`
  if (crs.isGeographic) return globe
  const [unit, metres] = UNITS[words.get('units') ?? 'm']!
  const parameters = parametersOf(words, metres).map(([name, value]) => `PARAMETER["${name}",${decimal(value)}]`)
  const name = `${system.replace('GCS_', '').replace('North_American', 'NAD')}_${zone.replace(/[^A-Za-z0-9]+/g, '_').replace(/_$/, '')}`
  return `PROJCS["${name}",${globe},PROJECTION["${METHODS[words.get('proj')!]}"],${parameters.join(',')},UNIT["${unit}",${decimal(metres)}]]`
}

const METHODS: Readonly<Record<string, string>> = {
  utm: 'Transverse_Mercator',
  tmerc: 'Transverse_Mercator',
  lcc: 'Lambert_Conformal_Conic',
  aea: 'Albers',
  merc: 'Mercator_Auxiliary_Sphere',
}

type Words = ReadonlyMap<string, string | undefined>

function parametersOf(words: Words, metres: number): [name: string, value: number][] {
  const kind = words.get('proj')
  if (kind === 'utm') {
    return [
      ['False_Easting', 500_000],
      ['False_Northing', words.has('south') ? 10_000_000 : 0],
      ['Central_Meridian', Number(words.get('zone')) * 6 - 183],
      ['Scale_Factor', 0.9996],
      ['Latitude_Of_Origin', 0],
    ]
  }
  const number = (key: string, otherwise = 0) => Number(words.get(key) ?? otherwise)
  const origin: [string, number][] = [
    ['False_Easting', number('x_0') / metres],
    ['False_Northing', number('y_0') / metres],
    ['Central_Meridian', number('lon_0')],
  ]
  const scale = number('k', number('k_0', 1))
  if (kind === 'merc') return [...origin, ['Standard_Parallel_1', number('lat_ts')], ['Auxiliary_Sphere_Type', 0]]
  if (kind === 'tmerc') return [...origin, ['Scale_Factor', scale], ['Latitude_Of_Origin', number('lat_0')]]
  const parallels: [string, number][] = words.has('lat_2')
    ? [
        ['Standard_Parallel_1', number('lat_1')],
        ['Standard_Parallel_2', number('lat_2')],
      ]
    : [
        ['Standard_Parallel_1', number('lat_1')],
        ['Scale_Factor', scale],
      ]
  return [...origin, ...parallels, ['Latitude_Of_Origin', number('lat_0')]]
}

/** A number as .prj files write it: with a point. */
const decimal = (value: number): string => {
  const text = String(Number(value.toPrecision(15)))
  return /[.e]/.test(text) ? text : `${text}.0`
}
