import { columnValue, GEOMETRY_KIND, type Layer } from '../geo/index.ts'
import type { MultiPath, MultiPolygon } from '../model/geometry.ts'
import { orient } from './ring-groups.ts'

export type JsonValue = string | number | boolean | null | readonly JsonValue[] | { readonly [name: string]: JsonValue }

/** A geometry in degrees. */
export type WritableGeometry =
  | { readonly kind: 'point'; readonly points: Float64Array }
  | { readonly kind: 'line'; readonly paths: MultiPath }
  | { readonly kind: 'polygon'; readonly shape: MultiPolygon }

export interface WritableFeature {
  readonly geometry: WritableGeometry | null
  /** Written in the given order; numbers in full, those that are not finite as null. */
  readonly properties: Readonly<Record<string, JsonValue | undefined>>
}

export interface WritableCollection {
  readonly features: Iterable<WritableFeature>
}

/** Decimals of a degree: 1e-9 degree is 0.1 mm on the ground. */
const DECIMALS = 9

/**
 * A feature collection as UTF-8 bytes, one feature a line, or a layer (in degrees) as such. Outer rings wind
 * counter-clockwise, holes clockwise; the same input gives the same bytes.
 * Errors: a plain Error for a coordinate that is no degree: results never hold one.
 * Source: RFC 7946, sections 3.1.6, 4 and 11.2 (precision).
 */
export function writeGeoJson(source: WritableCollection | Layer): Uint8Array {
  const features = 'features' in source ? source.features : featuresOfLayer(source)
  const lines: string[] = []
  for (const { geometry, properties } of features) {
    lines.push(`{"type":"Feature","geometry":${geometryText(geometry)},"properties":${JSON.stringify(properties)}}`)
  }
  return new TextEncoder().encode(`{"type":"FeatureCollection","features":[\n${lines.join(',\n')}\n]}\n`)
}

/** The features of a layer in degrees, for writing. */
export function* featuresOfLayer(layer: Layer): Generator<WritableFeature> {
  for (let i = 0; i < layer.featureCount; i++) {
    // Without a prototype, so that a column named __proto__ is a property like any other.
    const properties = Object.create(null) as Record<string, JsonValue>
    for (const column of layer.columns) properties[column.name] = columnValue(column, i)
    yield { geometry: featureGeometry(layer, i), properties }
  }
}

function featureGeometry({ geometry }: Layer, feature: number): WritableGeometry | null {
  const { coords, rings, parts, features, kinds } = geometry
  const kind = GEOMETRY_KIND[kinds[feature]!]!
  if (kind === 'none') return null
  const ring = (r: number) => coords.subarray(2 * rings[r]!, 2 * rings[r + 1]!)
  const ringsOf = (part: number) =>
    Array.from({ length: parts[part + 1]! - parts[part]! }, (_, r) => ring(parts[part]! + r))
  const [from, to] = [features[feature]!, features[feature + 1]!]
  const polygons = Array.from({ length: to - from }, (_, p) => ringsOf(from + p))
  if (kind === 'polygon') return { kind, shape: polygons }
  if (kind === 'line') return { kind, paths: polygons.flat() }
  return { kind, points: coords.subarray(2 * rings[parts[from]!]!, 2 * rings[parts[to]!]!) }
}

function geometryText(geometry: WritableGeometry | null): string {
  if (geometry === null) return 'null'
  if (geometry.kind === 'point') {
    const positions = positionTexts(geometry.points)
    return collected('Point', positions)
  }
  if (geometry.kind === 'line') return collected('LineString', geometry.paths.map(pathText))
  const polygons = geometry.shape.map(
    polygon => `[${polygon.map((ring, i) => pathText(orient(ring, i === 0))).join(',')}]`,
  )
  return collected('Polygon', polygons)
}

const collected = (type: string, texts: readonly string[]): string =>
  texts.length === 0
    ? 'null'
    : texts.length === 1
      ? `{"type":"${type}","coordinates":${texts[0]}}`
      : `{"type":"Multi${type}","coordinates":[${texts.join(',')}]}`

const pathText = (path: Float64Array): string => `[${positionTexts(path).join(',')}]`

function positionTexts(path: Float64Array): string[] {
  const texts: string[] = []
  for (let i = 0; i < path.length; i += 2) texts.push(`[${degreeText(path[i]!)},${degreeText(path[i + 1]!)}]`)
  return texts
}

function degreeText(value: number): string {
  if (!(Math.abs(value) <= 360)) throw new Error(`${value} is no coordinate in degrees`)
  const text = value.toFixed(DECIMALS).replace(/\.?0+$/, '')
  return text === '-0' ? '0' : text
}
