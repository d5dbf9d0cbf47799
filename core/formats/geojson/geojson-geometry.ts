/// <reference path="./geojson-validation.d.ts" />
import { isGeometryObject } from 'geojson-validation'
import type { GeometryBuilder, GeometryKind } from '../../geo/index.ts'
import { findDegreeFault } from '../crs-of-file.ts'
import { orient } from '../ring-groups.ts'
import { isNestedDeeper } from './parse-json.ts'

/** What was repaired in the geometries of a file, counted. */
export interface GeometryRepairs {
  closed: number
  rewound: number
  heights: number
  empty: number
}

export interface GeometryRules {
  /** Positions must be degrees. */
  readonly isGeographic: boolean
  readonly repairs: GeometryRepairs
}

interface GeometryObject {
  readonly type: string
  readonly coordinates?: unknown
  readonly geometries?: unknown
}

/** Thrown inside this file alone, to leave nested coordinates at the first fault. */
class Fault extends Error {}

const KIND_OF_TYPE: ReadonlyMap<string, GeometryKind> = new Map([
  ['Point', 'point'],
  ['MultiPoint', 'point'],
  ['LineString', 'line'],
  ['MultiLineString', 'line'],
  ['Polygon', 'polygon'],
  ['MultiPolygon', 'polygon'],
])

/** A geometry is at most a multi-polygon's lists deep, inside collections in collections. */
const DEEPEST = 16

/**
 * Adds a GeoJSON geometry as the next feature; gives the reason where it cannot be one (nothing is then added).
 * Repaired and counted: open rings, rings that wind the wrong way, heights, empty geometries (a feature without geometry).
 * Source: RFC 7946, sections 3.1, 3.1.1 (positions), 3.1.6 (rings), 3.1.8 (collections), 4 (degrees).
 */
export function addGeoJsonGeometry(
  builder: GeometryBuilder,
  geometry: unknown,
  rules: GeometryRules,
): string | undefined {
  if (geometry === null || geometry === undefined) {
    builder.endFeature('none')
    return undefined
  }
  try {
    if (isNestedDeeper(geometry, DEEPEST)) throw new Fault('the geometry is nested too deeply')
    const pieces = flattenCollection(geometry)
    const kinds = new Set(pieces.map(piece => kindOf(piece)))
    if (kinds.size > 1) throw new Fault(`the collection mixes ${[...kinds].join(' and ')} geometries`)
    const filled = pieces.filter(piece => !isEmpty(piece))
    for (const piece of filled) addPiece(builder, piece, rules)
    if (filled.length === 0) rules.repairs.empty++
    builder.endFeature(filled.length === 0 ? 'none' : kindOf(filled[0]!))
    return undefined
  } catch (error) {
    builder.dropUnfinishedFeature()
    if (error instanceof Fault) return error.message
    throw error
  }
}

function flattenCollection(geometry: unknown): GeometryObject[] {
  if (!isObject(geometry) || typeof geometry.type !== 'string')
    throw new Fault('the geometry is not an object with a type')
  if (geometry.type !== 'GeometryCollection') return [geometry as unknown as GeometryObject]
  if (!Array.isArray(geometry.geometries)) throw new Fault('the collection has no list of geometries')
  return geometry.geometries.flatMap(flattenCollection)
}

function kindOf(piece: GeometryObject): GeometryKind {
  const kind = KIND_OF_TYPE.get(piece.type)
  if (kind === undefined) throw new Fault(`"${piece.type.slice(0, 40)}" is no geometry type`)
  return kind
}

const isObject = (value: unknown): value is Record<string, unknown> =>
  value !== null && typeof value === 'object' && !Array.isArray(value)

/** No position anywhere: `[]`, `[[]]`. RFC 7946, section 3.1: may be taken as a null geometry. */
function isEmpty(piece: GeometryObject): boolean {
  const isBare = (value: unknown): boolean => Array.isArray(value) && value.every(isBare)
  return isBare(piece.coordinates)
}

function addPiece(builder: GeometryBuilder, piece: GeometryObject, rules: GeometryRules): void {
  const { type } = piece
  if (!Array.isArray(piece.coordinates)) throw new Fault('the geometry has no coordinates')
  const parts: unknown[] = type.startsWith('Multi') ? piece.coordinates : [piece.coordinates]
  const kind = kindOf(piece)
  const ready = parts.map(part => (kind === 'polygon' ? listOf(part).map(ring => closeRing(ring, rules)) : part))
  for (const part of ready) {
    if (kind === 'point') addPath(builder, [part], rules)
    else if (kind === 'line') addPath(builder, listOf(part), rules)
    else listOf(part).forEach((ring, i) => void addRing(builder, listOf(ring), i === 0, rules))
    builder.endPart()
  }
  // After the positions have been read: the library's lists of faults grow with the square of bad positions.
  checkStructure(kind, ready)
}

function listOf(value: unknown): unknown[] {
  if (!Array.isArray(value)) throw new Fault('the coordinates are not nested lists of positions')
  return value
}

/** The library's check of the structure (counts of positions, nesting), on rings that are already closed. */
function checkStructure(kind: GeometryKind, parts: readonly unknown[]): void {
  const type = `Multi${{ none: '', point: 'Point', line: 'LineString', polygon: 'Polygon' }[kind]}`
  let faults: readonly string[] | true
  try {
    faults = isGeometryObject({ type, coordinates: parts }, true)
  } catch {
    faults = ['the structure of the coordinates is wrong']
  }
  if (faults !== true && faults.length > 0) throw new Fault(faults[0]!.toLowerCase())
}

function closeRing(ring: unknown, rules: GeometryRules): unknown[] {
  const positions = listOf(ring)
  const [first, last] = [positions[0], positions.at(-1)]
  if (!Array.isArray(first) || !Array.isArray(last) || positions.length < 3) return positions
  if (first[0] === last[0] && first[1] === last[1]) return withSameEnds(positions)
  rules.repairs.closed++
  return [...positions, first]
}

/** Ends that differ in height alone are one place. */
function withSameEnds(positions: unknown[]): unknown[] {
  const [first, last] = [positions[0] as unknown[], positions.at(-1) as unknown[]]
  return first.length === 2 && last.length === 2 ? positions : [...positions.slice(0, -1), first]
}

function addPath(builder: GeometryBuilder, positions: readonly unknown[], rules: GeometryRules): void {
  const path = readPath(positions, rules)
  for (let i = 0; i < path.length; i += 2) builder.addVertex(path[i]!, path[i + 1]!)
  builder.endRing()
}

function addRing(
  builder: GeometryBuilder,
  positions: readonly unknown[],
  isOuter: boolean,
  rules: GeometryRules,
): void {
  const path = readPath(positions, rules)
  const ring = orient(path, isOuter)
  if (ring !== path) rules.repairs.rewound++
  for (let i = 0; i < ring.length; i += 2) builder.addVertex(ring[i]!, ring[i + 1]!)
  builder.endRing()
}

function readPath(positions: readonly unknown[], rules: GeometryRules): Float64Array {
  const path = new Float64Array(positions.length * 2)
  for (let i = 0; i < positions.length; i++) {
    const position = listOf(positions[i])
    const [x, y] = [position[0], position[1]]
    if (typeof x !== 'number' || typeof y !== 'number' || !Number.isFinite(x) || !Number.isFinite(y)) {
      throw new Fault('a position is not two finite numbers')
    }
    const fault = rules.isGeographic ? findDegreeFault(x, y) : undefined
    if (fault !== undefined) throw new Fault(fault)
    if (position[2] !== undefined) rules.repairs.heights++
    path[2 * i] = x
    path[2 * i + 1] = y
  }
  return path
}
