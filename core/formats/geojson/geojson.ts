import { type Column, GeometryBuilder, type Layer, layerKind } from '../../geo/index.ts'
import { InputError, type Problem } from '../../model/problem.ts'
import { buildColumn } from '../build-columns.ts'
import { type FileCrs, readFileCrs } from '../crs-of-file.ts'
import { decodeText } from '../decode-text.ts'
import { baseName, chooseLayers, type FileReading, type ReadOptions, shortValue } from '../file-reading.ts'
import { addGeoJsonGeometry, type GeometryRepairs } from './geojson-geometry.ts'
import { checkTextLength, parseJsonText } from './parse-json.ts'

/** Features read between two steps of the task. */
const CHUNK = 5000

type JsonObject = Readonly<Record<string, unknown>>

/**
 * Reads GeoJSON: a feature collection, one feature or one bare geometry, as one layer.
 * A legacy `crs` member is followed, with a warning; without one the format says WGS 84.
 * Errors: InputError for text that is no JSON (with line and column) or no GeoJSON.
 * Source: RFC 7946; the `crs` member: GeoJSON 2008, section 3.
 */
export async function readGeoJson(file: string, bytes: Uint8Array, options: ReadOptions): Promise<FileReading> {
  checkTextLength(file, bytes)
  const { text, encoding } = decodeText(bytes)
  const root = parseJsonText(file, text)
  const features = featuresOf(file, root)
  const named = isObject(root) && typeof root.name === 'string' && root.name.trim() !== '' ? root.name : baseName(file)
  chooseLayers(file, [{ name: named }], options.layer)
  const crs = crsOf(file, root)
  const { layer, rejected, repairs } = await buildLayer(file, named, features, crs, options)
  const warnings = [...crsWarnings(file, root, crs), ...repairWarnings(file, named, repairs)]
  return { format: 'geojson', layers: [{ ...layer, encoding }], rejected, warnings, isDamaged: false }
}

const isObject = (value: unknown): value is JsonObject =>
  value !== null && typeof value === 'object' && !Array.isArray(value)

/** A member of its own, never one that every object inherits. */
const own = (object: JsonObject, name: string): unknown => (Object.hasOwn(object, name) ? object[name] : undefined)

const GEOMETRY_TYPES = /^(Multi)?(Point|LineString|Polygon)$|^GeometryCollection$/

function featuresOf(file: string, root: unknown): readonly unknown[] {
  const type = isObject(root) ? own(root, 'type') : undefined
  if (isObject(root)) {
    if (type === 'FeatureCollection' && Array.isArray(root.features)) return root.features
    if (type === 'Feature') return [root]
    if (typeof type === 'string' && GEOMETRY_TYPES.test(type))
      return [{ type: 'Feature', properties: null, geometry: root }]
  }
  const found =
    type === 'FeatureCollection' ? 'a FeatureCollection without a list of features' : `type ${shortValue(type)}`
  throw new InputError({
    code: 'geojson-type',
    file,
    reason: `The JSON is no GeoJSON: it is ${type === undefined ? 'without a type' : found}`,
    remedy: 'Export a FeatureCollection.',
  })
}

/** The name of a legacy `crs` member; undefined where the file has none. */
function legacyCrsName(root: unknown): string | undefined {
  const member = isObject(root) ? own(root, 'crs') : undefined
  const properties = isObject(member) ? own(member, 'properties') : undefined
  const name = isObject(properties) ? own(properties, 'name') : undefined
  return typeof name === 'string' ? name : undefined
}

function crsOf(file: string, root: unknown): FileCrs {
  const name = legacyCrsName(root)
  const wgs84: FileCrs = { crs: 'EPSG:4326', crsSource: 'format', isGeographic: true }
  if (name === undefined) return wgs84
  const named = readFileCrs(name, undefined)
  if (named.crs !== null) return named
  throw new InputError({
    code: 'crs-unknown',
    file,
    field: 'crs',
    value: shortValue(name),
    reason: 'The coordinate system that the file names is not known',
    remedy: 'Export it in longitude and latitude (WGS 84).',
  })
}

function crsWarnings(file: string, root: unknown, crs: FileCrs): Problem[] {
  if (!isObject(root) || own(root, 'crs') == null || crs.crs === 'EPSG:4326') return []
  const reason = `The file's "crs" member (${crs.crs}) is followed; today's GeoJSON is in longitude and latitude alone`
  return [{ code: 'crs-member', file, field: 'crs', reason }]
}

interface BuiltLayer {
  readonly layer: Layer
  readonly rejected: readonly Problem[]
  readonly repairs: GeometryRepairs
}

async function buildLayer(
  file: string,
  name: string,
  features: readonly unknown[],
  crs: FileCrs,
  options: ReadOptions,
): Promise<BuiltLayer> {
  const builder = new GeometryBuilder()
  const repairs: GeometryRepairs = { closed: 0, rewound: 0, heights: 0, empty: 0 }
  const rejected: Problem[] = []
  const kept: number[] = []
  for (const [i, feature] of features.entries()) {
    if (i % CHUNK === 0) await options.task?.step(i / features.length, `Reading ${name}`)
    const reject = (field: string, reason: string, value: unknown) =>
      rejected.push({ code: 'feature-invalid', file, layer: name, row: i + 1, field, value: shortValue(value), reason })
    if (!isObject(feature) || own(feature, 'type') !== 'Feature') {
      reject('type', 'This is not an object of type Feature', isObject(feature) ? own(feature, 'type') : feature)
      continue
    }
    const geometry = own(feature, 'geometry')
    const fault = addGeoJsonGeometry(builder, geometry, { isGeographic: crs.isGeographic, repairs })
    if (fault === undefined) kept.push(i)
    else {
      const type = isObject(geometry) ? own(geometry, 'type') : geometry
      reject('geometry', `${fault[0]!.toUpperCase()}${fault.slice(1)}`, type)
    }
  }
  const geometry = builder.build()
  const layer: Layer = {
    name,
    kind: layerKind(geometry),
    featureCount: kept.length,
    geometry,
    crs: crs.crs,
    crsSource: crs.crsSource,
    columns: buildColumns(kept.map(i => features[i] as JsonObject)),
    rows: Uint32Array.from(kept, i => i + 1),
    encoding: null,
  }
  return { layer, rejected, repairs }
}

/** A column a property, in the order of first appearance; the features' own `id` is one where no property is named so. */
function buildColumns(features: readonly JsonObject[]): Column[] {
  const cells = new Map<string, unknown[]>()
  const put = (name: string, row: number, value: unknown) => {
    if (!cells.has(name)) cells.set(name, new Array<unknown>(features.length).fill(null))
    cells.get(name)![row] = value
  }
  features.forEach((feature, row) => {
    const properties = own(feature, 'properties')
    if (isObject(properties)) for (const key of Object.keys(properties)) put(key, row, properties[key])
  })
  if (!cells.has('id')) {
    features.forEach((feature, row) => {
      const id = own(feature, 'id')
      if (typeof id === 'string' || typeof id === 'number') put('id', row, id)
    })
  }
  return [...cells].map(([name, values]) => buildColumn(name, values))
}

function repairWarnings(file: string, layer: string, repairs: GeometryRepairs): Problem[] {
  const list: [string, number, string][] = [
    ['ring-closed', repairs.closed, 'rings were open and are closed'],
    ['ring-rewound', repairs.rewound, 'rings wound the wrong way and are turned (outer rings counter-clockwise)'],
    ['z-dropped', repairs.heights, 'positions carry heights, which are left out'],
    ['geometry-empty', repairs.empty, 'features have an empty geometry and are kept without one'],
  ]
  return list
    .filter(([, count]) => count > 0)
    .map(([code, count, text]) => ({ code, file, layer, reason: `${count} ${text}` }))
}
