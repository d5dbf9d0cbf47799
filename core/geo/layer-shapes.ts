import type { MultiPath, MultiPolygon } from '../model/geometry.ts'
import { GEOMETRY_KIND, type Geometry, type GeometryKind, type Layer } from './layer.ts'
import { GeometryBuilder } from './layer-builder.ts'

type WithGeometry = Pick<Layer, 'geometry'>

/** Kind of one feature's geometry. */
export const featureKind = (layer: WithGeometry, feature: number): GeometryKind =>
  GEOMETRY_KIND[layer.geometry.kinds[feature] ?? 0]!

/** The polygons of a feature, as views on the layer's coordinates that must not be written; empty for other kinds. */
export function multiPolygonOf(layer: WithGeometry, feature: number): MultiPolygon {
  if (featureKind(layer, feature) !== 'polygon') return []
  const { parts, features } = layer.geometry
  const polygons: Float64Array[][] = []
  for (let part = features[feature]!; part < features[feature + 1]!; part++) {
    polygons.push(ringsBetween(layer.geometry, parts[part]!, parts[part + 1]!))
  }
  return polygons
}

/** The paths of a feature, as views on the layer's coordinates that must not be written; empty for other kinds. */
export function multiPathOf(layer: WithGeometry, feature: number): MultiPath {
  if (featureKind(layer, feature) !== 'line') return []
  const { parts, features } = layer.geometry
  return ringsBetween(layer.geometry, parts[features[feature]!]!, parts[features[feature + 1]!]!)
}

/** x, y of the points of a feature in turn; empty for other kinds. */
export function pointsOf(layer: WithGeometry, feature: number): Float64Array {
  if (featureKind(layer, feature) !== 'point') return new Float64Array(0)
  const { coords, rings, parts, features } = layer.geometry
  const [first, last] = [parts[features[feature]!]!, parts[features[feature + 1]!]!]
  return coords.subarray(rings[first]! * 2, rings[last]! * 2)
}

function ringsBetween({ coords, rings }: Geometry, first: number, last: number): Float64Array[] {
  const result: Float64Array[] = []
  for (let ring = first; ring < last; ring++) result.push(coords.subarray(rings[ring]! * 2, rings[ring + 1]! * 2))
  return result
}

/** One feature a shape; an empty shape is a feature without geometry. */
export function geometryFromPolygons(shapes: readonly MultiPolygon[]): Geometry {
  const builder = new GeometryBuilder()
  for (const shape of shapes) {
    for (const polygon of shape) {
      for (const ring of polygon) addRing(builder, ring)
      builder.endPart()
    }
    builder.endFeature('polygon')
  }
  return builder.build()
}

/** One feature an entry, a part a path; an empty entry is a feature without geometry. */
export function geometryFromPaths(lines: readonly MultiPath[]): Geometry {
  const builder = new GeometryBuilder()
  for (const paths of lines) {
    for (const path of paths) {
      addRing(builder, path)
      builder.endPart()
    }
    builder.endFeature('line')
  }
  return builder.build()
}

/** One point feature a place. */
export function geometryFromPoints(places: readonly (readonly [x: number, y: number])[]): Geometry {
  const builder = new GeometryBuilder()
  for (const [x, y] of places) builder.addPoint(x, y)
  return builder.build()
}

function addRing(builder: GeometryBuilder, ring: Float64Array): void {
  for (let i = 0; i < ring.length; i += 2) builder.addVertex(ring[i]!, ring[i + 1]!)
  builder.endRing()
}
