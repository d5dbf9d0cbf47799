import type { Files } from '../../desk-view.ts'
import {
  csvColumnsOf,
  featuresOfLayer,
  prjTextOf,
  readFile,
  shapefileOfFeatures,
  type WritableFeature,
  writeCsv,
  writeGeoJson,
  writeShapefile,
} from '../../formats/index.ts'
import { type Crs, findCrs, type Layer, projectionOf, projectLayerToGlobe } from '../../geo/index.ts'
import { type Audience, InputError, type Problem, type Task } from '../../model/index.ts'
import type { Withheld } from '../../share/index.ts'
import { type CutSource, cutForAudience } from './cut-file.ts'
import { warnOf } from './read-source.ts'

export interface ConvertStep {
  readonly from: string
  readonly to: string
  /** `EPSG:n` of the result; WGS 84 degrees where absent. */
  readonly toCrs?: string
  readonly audience: Audience
  /** For the audience `owner`: whose land. */
  readonly owner?: string
  /** Where consent, owners and boundary are told, for others than the crew. */
  readonly brief?: CutSource
}

export interface Converted {
  readonly file: Uint8Array
  readonly features: number
  readonly crs: string
  readonly rejected: readonly Problem[]
  readonly withheld: readonly Withheld[]
}

/**
 * A file in another format and system, cut to its audience before it is written.
 * Errors: InputError for a format that is not written, a system that is not known or does not reach the data, GeoJSON in
 * another system than WGS 84, and a layer of which it is not known how it is cut.
 */
export async function convertFile(step: ConvertStep, files: Files, task: Task): Promise<Converted> {
  const format = formatOf(step.to)
  const crs = crsFor(step, format)
  const reading = await readFile(step.from, await files.read(step.from), { task })
  for (const warning of reading.warnings) warnOf(warning, task)
  const layer = reading.layers[0]
  if (!layer) throw new InputError({ code: 'layer-missing', file: step.from, reason: 'The file holds no layer' })
  if (reading.layers.length > 1) {
    const others = reading.layers.slice(1).map(other => other.name)
    task.warn('convert-one-layer', `Only the layer ${layer.name} was written, not ${others.join(', ')}.`)
  }
  const onGlobe = layer.kind === 'none' ? layer : projectLayerToGlobe(layer)
  const { features, withheld } =
    step.audience === 'crew'
      ? { features: [...featuresOfLayer(onGlobe)], withheld: [] }
      : await cutForAudience(onGlobe, { ...step, audience: step.audience }, task)
  const file = write(features, onGlobe, { step, format, crs }, task)
  return { file, features: features.length, crs: crs.code, rejected: reading.rejected, withheld }
}

type Format = 'geojson' | 'csv' | 'shapefile'

function formatOf(to: string): Format {
  if (/\.(geo)?json$/i.test(to)) return 'geojson'
  if (/\.csv$/i.test(to)) return 'csv'
  if (/\.zip$/i.test(to)) return 'shapefile'
  throw new InputError({
    code: 'convert-format',
    file: to,
    reason: 'This program writes GeoJSON, CSV and zipped Shapefiles',
    remedy: 'End the name of the output in .geojson, .csv or .zip.',
  })
}

function crsFor({ toCrs = 'EPSG:4326', to }: ConvertStep, format: Format): Crs {
  const crs = findCrs(toCrs)
  if (crs === undefined) {
    throw new InputError({
      code: 'crs-not-known',
      field: 'to-crs',
      value: toCrs.slice(0, 80),
      reason: 'The coordinate reference system is not among those that can be used',
      remedy: 'Give WGS 84 (EPSG:4326), NAD83 (EPSG:4269), a UTM zone or a State Plane zone on NAD83.',
    })
  }
  if (format !== 'geojson' || crs.code === 'EPSG:4326') return crs
  throw new InputError({
    code: 'geojson-crs',
    file: to,
    field: 'to-crs',
    value: crs.code,
    reason: 'GeoJSON is in WGS 84 degrees, always (RFC 7946, section 4)',
    remedy: 'Leave --to-crs out, or end the name of the output in .zip for a Shapefile or in .csv.',
  })
}

interface Target {
  readonly step: ConvertStep
  readonly format: Format
  readonly crs: Crs
}

function write(features: readonly WritableFeature[], layer: Layer, { step, format, crs }: Target, task: Task) {
  if (format === 'geojson') return writeGeoJson({ features })
  const placed = projectFeatures(features, crs)
  const warn = (code: string, message: string) => task.warn(code, message)
  if (format === 'shapefile') {
    const name = (step.to.split(/[\\/]/).at(-1) ?? 'layer').replace(/\.zip$/i, '')
    return writeShapefile(shapefileOfFeatures(name, placed, prjTextOf(crs), warn))
  }
  const isPlain = step.audience === 'crew' && step.toCrs === undefined && layer.crsSource === 'columns'
  if (isPlain || layer.kind === 'none') return writeCsv(csvColumnsOf(layer.columns, layer.featureCount))
  return writeCsv(tableOf(placed, crs, warn))
}

/** Attributes with the place of each point in two columns more; lines and polygons have none that fits a cell. */
function tableOf(features: readonly WritableFeature[], crs: Crs, warn: (code: string, message: string) => void) {
  const names = [...new Set(features.flatMap(({ properties }) => Object.keys(properties)))]
  const pair = crs.isGeographic ? ['lon', 'lat'] : ['x', 'y']
  // A column of the source under that name would be taken for the place that is written here.
  const [across, up] = pair.map(name =>
    names.some(one => one.toLowerCase() === name) ? `${name}_${digitsOf(crs)}` : name,
  )
  const isPoint = ({ geometry }: WritableFeature) => geometry?.kind === 'point' && geometry.points.length === 2
  const lost = features.filter(feature => feature.geometry !== null && !isPoint(feature)).length
  if (lost > 0) warn('csv-geometry', `${lost} features that are no single points are written without their geometry.`)
  const coordinate = (feature: WritableFeature, axis: 0 | 1) =>
    feature.geometry?.kind === 'point' && feature.geometry.points.length === 2 ? feature.geometry.points[axis]! : null
  const cell = (value: unknown) =>
    value === undefined || value === null ? null : typeof value === 'object' ? JSON.stringify(value) : (value as string)
  return [
    ...names.map(name => ({ name, values: features.map(({ properties }) => cell(properties[name])) })),
    ...(lost === features.length
      ? []
      : [
          { name: across!, values: features.map(feature => coordinate(feature, 0)) },
          { name: up!, values: features.map(feature => coordinate(feature, 1)) },
        ]),
  ]
}

const digitsOf = (crs: Crs): string => crs.code.replace(/\D/g, '')

/** Degrees -> the plane of a system. NAD83 is taken as WGS 84. */
function projectFeatures(features: readonly WritableFeature[], crs: Crs): readonly WritableFeature[] {
  if (crs.isGeographic) return features
  const projection = projectionOf(crs)
  let within = 0
  let count = 0
  const project = (line: Float64Array, row: number) => {
    const out = new Float64Array(line.length)
    for (let i = 0; i < line.length; i += 2) {
      const [longitude, latitude] = [line[i]!, line[i + 1]!]
      const [x, y] = projection.forward(longitude, latitude)
      if (!(Number.isFinite(x) && Number.isFinite(y))) throw outside(crs, [longitude, latitude], row)
      out[i] = x
      out[i + 1] = y
      count++
      if (isNear(crs, longitude, latitude)) within++
    }
    return out
  }
  const moved = features.map((feature, i) => ({
    ...feature,
    geometry: mapGeometry(feature.geometry, line => project(line, i + 1)),
  }))
  const first = features.find(({ geometry }) => geometry !== null)?.geometry
  if (count > 0 && within === 0 && first) throw outside(crs, firstPlace(first))
  return moved
}

function mapGeometry(geometry: WritableFeature['geometry'], map: (line: Float64Array) => Float64Array) {
  if (geometry === null) return null
  if (geometry.kind === 'point') return { ...geometry, points: map(geometry.points) }
  if (geometry.kind === 'line') return { ...geometry, paths: geometry.paths.map(map) }
  return { ...geometry, shape: geometry.shape.map(polygon => polygon.map(map)) }
}

function firstPlace(geometry: NonNullable<WritableFeature['geometry']>): readonly [number, number] {
  const line =
    geometry.kind === 'point' ? geometry.points : geometry.kind === 'line' ? geometry.paths[0]! : geometry.shape[0]![0]!
  return [line[0]!, line[1]!]
}

/** Degrees that data may lie beyond the area of use; counties reach past the edges of zones. */
const AREA_MARGIN = 1

function isNear({ area: [west, south, east, north] }: Crs, longitude: number, latitude: number): boolean {
  if (latitude < south - AREA_MARGIN || latitude > north + AREA_MARGIN) return false
  const [low, high] = [west - AREA_MARGIN, east + AREA_MARGIN]
  return west <= east ? longitude >= low && longitude <= high : longitude >= low || longitude <= high
}

const outside = (crs: Crs, [longitude, latitude]: readonly [number, number], row?: number) =>
  new InputError({
    code: 'outside-crs-area',
    field: 'to-crs',
    ...(row === undefined ? {} : { row }),
    value: `${longitude.toFixed(4)}, ${latitude.toFixed(4)}`,
    reason: `The data lie outside of where ${crs.name} (${crs.code}) is used`,
    remedy: 'Give the system of the place: a UTM or State Plane zone that covers it.',
  })
