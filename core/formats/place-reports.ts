import { type Column, columnValue, GeometryBuilder, isGeographic, type Layer, layerOf } from '../geo/index.ts'
import type { LayerSource } from '../model/brief.ts'
import { findDegreeFault } from './crs-of-file.ts'
import { parseCoordinate } from './csv/csv-coordinates.ts'

/** A report's place in degrees, or what is wrong with it, in which field. */
export type ReportPlace =
  | { readonly longitude: number; readonly latitude: number }
  | { readonly fault: string; readonly field: 'lon' | 'lat'; readonly value: string | null }

interface PlaceColumns {
  readonly lon: Column | undefined
  readonly lat: Column | undefined
}

/**
 * The place of every feature: from the two columns (in the source's CRS, else degrees), else from its first point.
 * `toGlobe` projects a layer to degrees.
 */
export function placeReports(
  layer: Layer,
  source: LayerSource,
  columns: PlaceColumns,
  toGlobe: (layer: Layer) => Layer,
): ReportPlace[] {
  const { lon, lat } = columns
  const isProjected = source.crs !== undefined && !isGeographic(source.crs)
  // Points that the reader made from projected columns are on the globe already; the columns are not.
  const isByColumns = !isProjected || layer.kind === 'none'
  if (lon && lat && isByColumns)
    return placeByColumns(layer, isProjected ? source.crs : undefined, { lon, lat }, toGlobe)
  const globe = layer.crs === null || layer.crs === 'EPSG:4326' ? layer : toGlobe(layer)
  const { coords, rings, parts, features } = globe.geometry
  return Array.from({ length: layer.featureCount }, (_, i): ReportPlace => {
    const part = features[i]!
    if (part === features[i + 1]) return { fault: 'The report has no place', field: 'lon', value: null }
    const vertex = rings[parts[part]!]!
    return checkedPlace(coords[2 * vertex]!, coords[2 * vertex + 1]!, null)
  })
}

function placeByColumns(
  layer: Layer,
  crs: string | undefined,
  { lon, lat }: { readonly lon: Column; readonly lat: Column },
  toGlobe: (layer: Layer) => Layer,
): ReportPlace[] {
  const read = (column: Column, i: number) => {
    const value = columnValue(column, i)
    return {
      value: value === null ? null : String(value),
      number: value === null ? undefined : parseCoordinate(String(value), true),
    }
  }
  const pairs = Array.from({ length: layer.featureCount }, (_, i) => ({ x: read(lon, i), y: read(lat, i) }))
  const globe = crs === undefined ? undefined : projectPairs(pairs, crs, toGlobe)
  return pairs.map(({ x, y }, i): ReportPlace => {
    const bad =
      x.number === undefined ? ({ field: 'lon', value: x.value } as const) : ({ field: 'lat', value: y.value } as const)
    if (x.number === undefined || y.number === undefined) {
      return { fault: bad.value === null ? 'The coordinate is blank' : 'The coordinate is not a number', ...bad }
    }
    const [longitude, latitude] = globe ? [globe[2 * i]!, globe[2 * i + 1]!] : [x.number, y.number]
    return checkedPlace(longitude, latitude, { lon: x.value, lat: y.value })
  })
}

function projectPairs(
  pairs: readonly { readonly x: { number: number | undefined }; readonly y: { number: number | undefined } }[],
  crs: string,
  toGlobe: (layer: Layer) => Layer,
): Float64Array {
  const builder = new GeometryBuilder()
  for (const { x, y } of pairs) builder.addPoint(x.number ?? 0, y.number ?? 0)
  return toGlobe(layerOf('places', builder.build(), crs)).geometry.coords
}

function checkedPlace(
  longitude: number,
  latitude: number,
  texts: { lon: string | null; lat: string | null } | null,
): ReportPlace {
  const fault = findDegreeFault(longitude, latitude)
  if (fault === undefined) return { longitude, latitude }
  const field = fault.startsWith('longitude') ? 'lon' : 'lat'
  return { fault: `${fault[0]!.toUpperCase()}${fault.slice(1)}`, field, value: texts?.[field] ?? null }
}
