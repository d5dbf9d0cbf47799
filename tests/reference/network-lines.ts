import { type Column, destination, GeometryBuilder, type Layer, layerOf } from '../../core/geo/index.ts'

/** A line of a test network: its vertices and its attributes. */
export interface TestLine {
  readonly path: readonly (readonly [longitude: number, latitude: number])[]
  readonly attributes?: Readonly<Record<string, string | number | boolean>>
}

/** A layer of lines as a reader would give it: columns of numbers, of flags or of text. */
export function linesLayer(lines: readonly TestLine[]): Layer {
  const builder = new GeometryBuilder()
  for (const { path } of lines) {
    for (const [x, y] of path) builder.addVertex(x, y)
    builder.endRing()
    builder.endPart()
    builder.endFeature('line')
  }
  const names = [...new Set(lines.flatMap(line => Object.keys(line.attributes ?? {})))].sort()
  return layerOf(
    'waterways',
    builder.build(),
    'EPSG:4326',
    names.map(name => columnOf(name, lines)),
  )
}

function columnOf(name: string, lines: readonly TestLine[]): Column {
  const values = lines.map(line => line.attributes?.[name])
  if (values.every(value => value === undefined || typeof value === 'number')) {
    return {
      name,
      type: 'number',
      values: Float64Array.from(values, value => (value === undefined ? Number.NaN : Number(value))),
    }
  }
  if (values.every(value => value === undefined || typeof value === 'boolean')) {
    return {
      name,
      type: 'boolean',
      values: Uint8Array.from(values, value => (value === undefined ? 2 : value ? 1 : 0)),
    }
  }
  return { name, type: 'text', values: values.map(value => (value === undefined ? null : String(value))) }
}

/** A place so many metres east and north of 45.8 W, 35.7 N, in open ocean. */
export function placeAt(east: number, north: number): [number, number] {
  const [lon, lat] = destination(-45.8, 35.7, 0, north)
  const [longitude, latitude] = destination(lon, lat, 90, east)
  return [longitude, latitude]
}

/** A straight line whose ellipsoidal length is exactly `length`, from a place toward an azimuth. */
export function rayFrom(start: readonly [number, number], azimuth: number, length: number): [number, number] {
  const [longitude, latitude] = destination(start[0], start[1], azimuth, length)
  return [longitude, latitude]
}
