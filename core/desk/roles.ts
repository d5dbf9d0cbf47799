import { decideDateFormat, parseDate } from '../formats/index.ts'
import { columnValue, findColumn, type Layer, multiPathOf, multiPolygonOf } from '../geo/index.ts'
import {
  EVIDENCE,
  type Evidence,
  type LayerSource,
  type MultiPath,
  type MultiPolygon,
  type PlainDate,
} from '../model/index.ts'

/** A feature of a dated layer: searched ground, a treatment. Degrees. */
export interface DatedShape {
  readonly date: PlainDate | null
  readonly shape: MultiPolygon
  /** For features that are points. */
  readonly point: readonly [longitude: number, latitude: number] | null
  readonly isFound: boolean
  readonly evidence: Evidence
  readonly feature: number
}

const columnFor = (layer: Layer, source: LayerSource | undefined, name: string) =>
  findColumn(layer, source?.fields[name] ?? name)

/** The value of a named field as text, through the brief's field names; null where absent. */
export function fieldText(layer: Layer, source: LayerSource | undefined, name: string, feature: number): string | null {
  const column = columnFor(layer, source, name)
  const value = column ? columnValue(column, feature) : null
  return value === null ? null : String(value)
}

export function fieldNumber(
  layer: Layer,
  source: LayerSource | undefined,
  name: string,
  feature: number,
): number | null {
  const text = fieldText(layer, source, name, feature)
  const value = text === null || text.trim() === '' ? Number.NaN : Number(text)
  return Number.isFinite(value) ? value : null
}

/** Features of a layer with their dates; features without a readable date have none. */
export function datedShapes(layer: Layer | undefined, source: LayerSource | undefined): DatedShape[] {
  if (!layer) return []
  const texts = Array.from({ length: layer.featureCount }, (_, i) => fieldText(layer, source, 'date', i))
  const place = { file: source?.path ?? layer.name, field: source?.fields['date'] ?? 'date', rows: layer.rows }
  const format = decideDateFormat(texts, source?.dateFormat ?? 'auto', place)
  return texts.map((text, feature) => ({
    date: text === null ? null : parseDate(text, format),
    shape: layer.geometry.kinds[feature] === 3 ? multiPolygonOf(layer, feature) : [],
    point: firstPoint(layer, feature),
    isFound: /^(yes|y|true|1|found|present|detected)$/i.test(fieldText(layer, source, 'found', feature) ?? 'no'),
    evidence: EVIDENCE.find(name => name === fieldText(layer, source, 'evidence', feature)?.toLowerCase()) ?? 'leaf',
    feature,
  }))
}

/** All polygons of a layer as one shape; null where there is none. */
export function allPolygons(layer: Layer | undefined): MultiPolygon | null {
  if (!layer) return null
  const shapes = Array.from({ length: layer.featureCount }, (_, i) => i)
    .filter(i => layer.geometry.kinds[i] === 3)
    .flatMap(i => [...multiPolygonOf(layer, i)])
  return shapes.length === 0 ? null : shapes
}

/** All paths of a layer. */
export function allPaths(layer: Layer | undefined): MultiPath {
  if (!layer) return []
  return Array.from({ length: layer.featureCount }, (_, i) => i)
    .filter(i => layer.geometry.kinds[i] === 2)
    .flatMap(i => [...multiPathOf(layer, i)])
}

/** Half side of the square that stands for a site given as a point, degrees: half a metre. */
const POINT_SITE = 5e-6

/** Protected sites as polygons in degrees; a point stands for the place itself. Null where there is none. */
export function protectedSites(layer: Layer | undefined): MultiPolygon | null {
  if (!layer) return null
  const points = Array.from({ length: layer.featureCount }, (_, i) => firstPoint(layer, i)).flatMap(point => {
    if (point === null) return []
    const [west, east] = [point[0] - POINT_SITE, point[0] + POINT_SITE]
    const [south, north] = [point[1] - POINT_SITE, point[1] + POINT_SITE]
    return [[Float64Array.of(west, south, east, south, east, north, west, north, west, south)]]
  })
  const sites = [...(allPolygons(layer) ?? []), ...points]
  return sites.length === 0 ? null : sites
}

export function firstPoint(layer: Layer, feature: number): readonly [number, number] | null {
  if (layer.geometry.kinds[feature] !== 1) return null
  const part = layer.geometry.features[feature]!
  const vertex = layer.geometry.rings[layer.geometry.parts[part]!]!
  return [layer.geometry.coords[vertex * 2]!, layer.geometry.coords[vertex * 2 + 1]!]
}
