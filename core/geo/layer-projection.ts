import type { Box } from '../model/geometry.ts'
import { InputError } from '../model/problem.ts'
import { type Crs, findCrs, METRES_PER_UNIT, projectionOf } from './crs-table.ts'
import type { Geometry, Layer } from './layer.ts'
import type { Projection } from './projection.ts'

/** Farthest that a vertex may land from where it came from after going to the globe and back, metres. */
const ROUND_TRIP_LIMIT = 1e-3

/**
 * The layer in WGS 84 degrees (`EPSG:4326`), vertex by vertex. NAD83 is taken as WGS 84 (they differ by 1 to 2 m).
 * Errors: InputError `no-crs`, `crs-not-known`, `crs-grid-needed`, `coordinate-not-finite`, `coordinate-range`,
 * `outside-crs` and `outside-crs-area`, each with the row where one vertex is to blame and what to do.
 * Accuracy and cost: under 1 mm against PROJ; about 1 microsecond a vertex.
 */
export function projectLayerToGlobe(layer: Layer): Layer {
  const crs = knownCrs(layer)
  const coords = crs.isGeographic ? checkedDegrees(layer) : unprojected(layer, crs)
  if (coords === layer.geometry.coords && crs.code === 'EPSG:4326') return layer
  return { ...layer, crs: 'EPSG:4326', geometry: { ...layer.geometry, coords } }
}

function knownCrs(layer: Layer): Crs {
  if (layer.crs === null) {
    throw new InputError({
      code: 'no-crs',
      layer: layer.name,
      reason: 'The layer does not say in which coordinate reference system its coordinates are',
      remedy: 'Name it in the brief, for instance "crs": "EPSG:4326", or give the .prj file with it.',
    })
  }
  const crs = findCrs(layer.crs)
  if (crs !== undefined) return crs
  const needsGrid = /NAD[ _]?(19)?27|North_American_1927|EPSG:\s*(4267|267\d\d)\b/i.test(layer.crs)
  throw new InputError({
    code: needsGrid ? 'crs-grid-needed' : 'crs-not-known',
    layer: layer.name,
    value: layer.crs.slice(0, 80),
    reason: needsGrid
      ? 'NAD27 needs a shift grid, which is not here; without it positions would be some 10 to 100 m off'
      : 'The coordinate reference system is not among those that can be used',
    remedy: 'Export the layer in WGS 84 (EPSG:4326), NAD83, a UTM zone or a State Plane zone on NAD83.',
  })
}

function checkedDegrees(layer: Layer): Float64Array {
  const { coords } = layer.geometry
  for (let i = 0; i < coords.length; i += 2) {
    const [longitude, latitude] = [coords[i]!, coords[i + 1]!]
    if (longitude >= -180 && longitude <= 180 && latitude >= -90 && latitude <= 90) continue
    const isNumber = Number.isFinite(longitude) && Number.isFinite(latitude)
    throw new InputError({
      code: isNumber ? 'coordinate-range' : 'coordinate-not-finite',
      layer: layer.name,
      row: rowOfVertex(layer, i / 2),
      value: `${longitude}, ${latitude}`,
      reason: isNumber
        ? 'The position is not a longitude (-180 to 180) and a latitude (-90 to 90)'
        : 'A coordinate is not a finite number',
      remedy: isNumber
        ? 'Check whether longitude and latitude are swapped, or whether the coordinates are projected and the CRS is named wrongly.'
        : 'Correct or remove the feature in that row.',
    })
  }
  return coords
}

function unprojected(layer: Layer, crs: Crs): Float64Array {
  const projection = projectionOf(crs)
  const coords = layer.geometry.coords
  const result = new Float64Array(coords.length)
  const tolerance = ROUND_TRIP_LIMIT / (crs.unit === 'degree' ? 1 : METRES_PER_UNIT[crs.unit])
  for (let i = 0; i < coords.length; i += 2) {
    const [x, y] = [coords[i]!, coords[i + 1]!]
    if (!(Number.isFinite(x) && Number.isFinite(y))) {
      throw new InputError({
        code: 'coordinate-not-finite',
        layer: layer.name,
        row: rowOfVertex(layer, i / 2),
        value: `${x}, ${y}`,
        reason: 'A coordinate is not a finite number',
        remedy: 'Correct or remove the feature in that row.',
      })
    }
    const [longitude, latitude] = projection.inverse(x, y)
    if (!returns(projection, [longitude, latitude], [x, y], tolerance)) throw outsideCrs(layer, crs, i / 2)
    result[i] = longitude
    result[i + 1] = latitude
  }
  checkArea(layer, crs, result)
  return result
}

function returns(projection: Projection, place: [number, number], from: [number, number], tolerance: number): boolean {
  const [longitude, latitude] = place
  if (!(Math.abs(longitude) <= 180 && Math.abs(latitude) <= 90)) return false
  const [x, y] = projection.forward(longitude, latitude)
  return Math.hypot(x - from[0], y - from[1]) <= tolerance
}

function outsideCrs(layer: Layer, crs: Crs, vertex: number): InputError {
  const { coords } = layer.geometry
  return new InputError({
    code: 'outside-crs',
    layer: layer.name,
    row: rowOfVertex(layer, vertex),
    value: `${coords[2 * vertex]}, ${coords[2 * vertex + 1]}`,
    reason: `The coordinates have no place in ${crs.name} (${crs.code}, ${crs.unit})`,
    remedy: 'Check the coordinates of that row and which CRS the layer is in.',
  })
}

/** A layer of which nothing lies where its CRS is meant to be used has almost surely been given the wrong one. */
function checkArea(layer: Layer, crs: Crs, degrees: Float64Array): void {
  if (degrees.length === 0) return
  for (let i = 0; i < degrees.length; i += 2) if (isWithin(crs.area, degrees[i]!, degrees[i + 1]!)) return
  throw new InputError({
    code: 'outside-crs-area',
    layer: layer.name,
    value: `${degrees[0]!.toFixed(4)}, ${degrees[1]!.toFixed(4)}`,
    reason: `Read as ${crs.name} (${crs.code}, ${crs.unit}), no part of the layer lies where that system is used`,
    remedy: 'Check which CRS the layer is in; metres read as feet, or a neighbouring zone, look like this.',
  })
}

/** Degrees that a layer may lie beyond the area of use: counties reach past the edges of zones. */
const AREA_MARGIN = 1

function isWithin([west, south, east, north]: Box, longitude: number, latitude: number): boolean {
  if (latitude < south - AREA_MARGIN || latitude > north + AREA_MARGIN) return false
  const [low, high] = [west - AREA_MARGIN, east + AREA_MARGIN]
  return west <= east ? longitude >= low && longitude <= high : longitude >= low || longitude <= high
}

/** Row in the file of the feature that owns a vertex. */
function rowOfVertex(layer: Layer, vertex: number): number {
  return layer.rows[featureOfVertex(layer.geometry, vertex)] ?? 0
}

function featureOfVertex({ rings, parts, features }: Geometry, vertex: number): number {
  return lastAtMost(features, lastAtMost(parts, lastAtMost(rings, vertex)))
}

/** Index of the last entry that is not above a value, in ascending offsets. */
function lastAtMost(offsets: Uint32Array, value: number): number {
  let [low, high] = [0, offsets.length - 1]
  while (low < high) {
    const middle = (low + high + 1) >> 1
    if (offsets[middle]! <= value) low = middle
    else high = middle - 1
  }
  return low
}
