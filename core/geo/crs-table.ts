import type { Box } from '../model/geometry.ts'
import table from './crs-table.json' with { type: 'json' }
import { createProjection, METRES_PER_US_SURVEY_FOOT, type Projection, parseProjectionText } from './projection.ts'

/** A coordinate reference system that is let in. */
export interface Crs {
  /** `EPSG:n`. */
  readonly code: string
  readonly name: string
  /** The projection in PROJ's words, without a datum. */
  readonly projection: string
  readonly isGeographic: boolean
  readonly unit: 'degree' | 'metre' | 'foot' | 'US survey foot'
  /** Where it is meant to be used, degrees; west > east when that crosses the antimeridian. */
  readonly area: Box
}

type Entry = readonly [name: string, projection: string, west: number, south: number, east: number, north: number]
/**
 * Codes of the EPSG registry, made by make/crs-table.mjs: WGS 84, its UTM zones and Pseudo-Mercator; NAD83 with its
 * realizations of 1986, HARN, NSRS2007 and 2011, their UTM zones, State Plane and other state-wide systems.
 * NAD83 is taken as WGS 84: positions may be off by the 1 to 2 m between the two.
 */
const entries = table as unknown as Readonly<Record<string, Entry>>

/** The system of a code such as `EPSG:2264`; undefined when it is not let in. */
export function findCrs(code: string): Crs | undefined {
  const digits = /^\s*EPSG:0*(\d+)\s*$/i.exec(code)?.[1]
  return digits === undefined || !Object.hasOwn(entries, digits) ? undefined : crsOf(digits, entries[digits]!)
}

/** Every system that is let in, by code. */
export const listCrs = (): Crs[] => Object.entries(entries).map(([digits, entry]) => crsOf(digits, entry))

/** Names and projections as the table holds them; reading an entry in full costs far more than a look at its text. */
export function* listEntries(): Generator<{
  readonly code: string
  readonly name: string
  readonly projection: string
}> {
  for (const digits in entries)
    yield { code: `EPSG:${digits}`, name: entries[digits]![0], projection: entries[digits]![1] }
}

/** Whether coordinates of that system are degrees of longitude and latitude; false where it is not known. */
export const isGeographic = (code: string): boolean => findCrs(code)?.isGeographic ?? false

/** The projection of a system that is let in. */
export const projectionOf = (crs: Crs): Projection => createProjection(crs.projection)

function crsOf(digits: string, [name, projection, west, south, east, north]: Entry): Crs {
  const words = parseProjectionText(projection)
  const isGeographic = words.get('proj') === 'longlat'
  const unit = isGeographic ? 'degree' : UNIT_NAMES[words.get('units') ?? 'm']!
  return { code: `EPSG:${digits}`, name, projection, isGeographic, unit, area: [west, south, east, north] }
}

const UNIT_NAMES: Readonly<Record<string, Crs['unit']>> = { m: 'metre', ft: 'foot', 'us-ft': 'US survey foot' }

/** Metres in one unit of a projected system. */
export const METRES_PER_UNIT: Readonly<Record<Exclude<Crs['unit'], 'degree'>, number>> = {
  metre: 1,
  foot: 0.3048,
  'US survey foot': METRES_PER_US_SURVEY_FOOT,
}
