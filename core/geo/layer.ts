import type { Box } from '../model/geometry.ts'

/**
 * A layer as columns, in the memory layout of the open GeoArrow specification: one coordinate array and nested offsets.
 *
 * Shapes: `coords` holds x, y of every vertex in turn. `rings[r]` is the first vertex (not the first number) of ring or
 * path r, `parts[p]` the first ring of part p (a polygon with its holes, one path, or one point), `features[f]` the
 * first part of feature f; each has one entry more than there are things, so that [i], [i + 1] bound thing i.
 * A feature without geometry has no parts. Rings of polygons are closed (first vertex repeated), outer ring first.
 * Units: of `crs`; longitude before latitude where that is geographic.
 */
export interface Geometry {
  readonly coords: Float64Array
  readonly rings: Uint32Array
  readonly parts: Uint32Array
  readonly features: Uint32Array
  /** One GEOMETRY_KIND index a feature; 0 where it has no geometry. */
  readonly kinds: Uint8Array
}

export const GEOMETRY_KIND = ['none', 'point', 'line', 'polygon'] as const
export type GeometryKind = (typeof GEOMETRY_KIND)[number]

export type Column =
  | { readonly name: string; readonly type: 'text' | 'date'; readonly values: readonly (string | null)[] }
  /** NaN where absent. */
  | { readonly name: string; readonly type: 'number' | 'integer'; readonly values: Float64Array }
  /** 0 false, 1 true, 2 absent. */
  | { readonly name: string; readonly type: 'boolean'; readonly values: Uint8Array }

export interface Layer {
  readonly name: string
  /** `mixed` when features of several kinds are there, `none` when no feature has a geometry. */
  readonly kind: GeometryKind | 'mixed'
  readonly featureCount: number
  readonly geometry: Geometry
  /** `EPSG:n` or `ESRI:n`, else the CRS's name in the file, else null. */
  readonly crs: string | null
  readonly crsSource: 'file' | 'format' | 'columns' | 'brief' | 'none'
  readonly columns: readonly Column[]
  /** Row in the file of each feature (1 is the first feature, in a CSV 1 is the header). */
  readonly rows: Uint32Array
  readonly encoding: string | null
}

/** A value of a column as a person would read it; null where absent. */
export function columnValue(column: Column, feature: number): string | number | boolean | null {
  if (column.type === 'text' || column.type === 'date') return column.values[feature] ?? null
  if (column.type === 'boolean') {
    const value = column.values[feature]
    return value === 0 ? false : value === 1 ? true : null
  }
  const value = column.values[feature]
  return value === undefined || Number.isNaN(value) ? null : value
}

/** The column of that exact name, else of that name in any case; undefined when the layer has none. */
export function findColumn(layer: Layer, name: string): Column | undefined {
  return (
    layer.columns.find(column => column.name === name) ??
    layer.columns.find(column => column.name.toLowerCase() === name.toLowerCase())
  )
}

/** Bounds of all vertices, or undefined for a layer without any. */
export function geometryBounds(geometry: Geometry): Box | undefined {
  const { coords } = geometry
  if (coords.length === 0) return undefined
  let west = Number.POSITIVE_INFINITY
  let south = Number.POSITIVE_INFINITY
  let east = Number.NEGATIVE_INFINITY
  let north = Number.NEGATIVE_INFINITY
  for (let i = 0; i < coords.length; i += 2) {
    const [x, y] = [coords[i]!, coords[i + 1]!]
    if (x < west) west = x
    if (x > east) east = x
    if (y < south) south = y
    if (y > north) north = y
  }
  return [west, south, east, north]
}
