import {
  GEOMETRY_KIND,
  type Geometry,
  type GeometryBuilder,
  type GeometryKind,
  readWkb,
  WKB,
  WkbWriter,
} from '../geo/index.ts'

/**
 * Geometry blobs of a GeoPackage: header with envelope, then well-known binary.
 * Source: OGC 12-128r17, clause 2.1.3 and table 5 (GeoPackageBinaryHeader).
 */
const SRS_ID = 4326
/** Little-endian (bit 0) with an envelope of min x, max x, min y, max y (1 in bits 1-3). */
const FLAGS = 0b0000_0011
const HEADER_LENGTH = 8 + 32

/** Geometry type of a whole table. */
export interface GeometryType {
  readonly name: 'POINT' | 'MULTIPOINT' | 'LINESTRING' | 'MULTILINESTRING' | 'POLYGON' | 'MULTIPOLYGON' | 'GEOMETRY'
  /** Whether features with a single part are written as multi-geometries too. */
  readonly isMulti: boolean
}

const SINGLE = { point: 'POINT', line: 'LINESTRING', polygon: 'POLYGON' } as const
const SINGLE_TYPE = { point: WKB.point, line: WKB.lineString, polygon: WKB.polygon } as const
const MULTI_TYPE = { point: WKB.multiPoint, line: WKB.multiLineString, polygon: WKB.multiPolygon } as const

/** The narrowest type that holds every feature, so that readers need not expect several. */
export function geometryTypeOf(geometry: Geometry, kind: GeometryKind | 'mixed'): GeometryType {
  if (kind === 'mixed' || kind === 'none') return { name: 'GEOMETRY', isMulti: false }
  for (let i = 0; i < geometry.kinds.length; i++) {
    if (geometry.features[i + 1]! - geometry.features[i]! > 1) return { name: `MULTI${SINGLE[kind]}`, isMulti: true }
  }
  return { name: SINGLE[kind], isMulti: false }
}

/** The blob of one feature; null where it has no geometry. */
export function writeGeometryBlob(geometry: Geometry, feature: number, type: GeometryType): Uint8Array | null {
  const kind = GEOMETRY_KIND[geometry.kinds[feature]!]!
  if (kind === 'none') return null
  const [first, last] = [geometry.features[feature]!, geometry.features[feature + 1]!]
  const writer = new WkbWriter()
  writer.byte(0x47)
  writer.byte(0x50)
  writer.byte(0)
  writer.byte(FLAGS)
  writer.uint32(SRS_ID)
  writer.doubles(envelopeOf(geometry, first, last))
  if (type.isMulti || last - first > 1) {
    writer.header(MULTI_TYPE[kind])
    writer.uint32(last - first)
  }
  for (let part = first; part < last; part++) writePart(writer, geometry, part, kind)
  return writer.finish()
}

function writePart(
  writer: WkbWriter,
  { coords, rings, parts }: Geometry,
  part: number,
  kind: Exclude<GeometryKind, 'none'>,
) {
  writer.header(SINGLE_TYPE[kind])
  const [first, last] = [parts[part]!, parts[part + 1]!]
  if (kind === 'polygon') writer.uint32(last - first)
  for (let ring = first; ring < last; ring++) {
    const [start, end] = [rings[ring]!, rings[ring + 1]!]
    if (kind !== 'point') writer.uint32(end - start)
    writer.doubles(coords, start * 2, end * 2)
  }
}

function envelopeOf({ coords, rings, parts }: Geometry, first: number, last: number): Float64Array {
  let [minX, maxX, minY, maxY] = [Infinity, -Infinity, Infinity, -Infinity]
  const [start, end] = [rings[parts[first]!]!, rings[parts[last]!]!]
  for (let i = start; i < end; i++) {
    const [x, y] = [coords[2 * i]!, coords[2 * i + 1]!]
    if (x < minX) minX = x
    if (x > maxX) maxX = x
    if (y < minY) minY = y
    if (y > maxY) maxY = y
  }
  return Float64Array.of(minX, maxX, minY, maxY)
}

/** Adds the feature of a blob to a geometry that grows; null is a feature without geometry. */
export function readGeometryBlob(blob: Uint8Array | null, builder: GeometryBuilder): void {
  if (blob === null) {
    builder.endFeature('point')
    return
  }
  if (blob[0] !== 0x47 || blob[1] !== 0x50) throw new Error('A geometry does not start with GP')
  const { points, paths, polygons } = readWkb(blob, headerLength(blob[3]!))
  for (let i = 0; i < points.length; i += 2) {
    builder.addVertex(points[i]!, points[i + 1]!)
    builder.endRing()
    builder.endPart()
  }
  for (const path of paths) {
    addRing(builder, path)
    builder.endPart()
  }
  for (const polygon of polygons) {
    for (const ring of polygon) addRing(builder, ring)
    builder.endPart()
  }
  builder.endFeature(polygons.length > 0 ? 'polygon' : paths.length > 0 ? 'line' : 'point')
}

function headerLength(flags: number): number {
  const envelope = [0, 32, 48, 48, 64][(flags >> 1) & 0b111]
  if (envelope === undefined) throw new Error('A geometry has an envelope of an unknown kind')
  return HEADER_LENGTH - 32 + envelope
}

function addRing(builder: GeometryBuilder, ring: Float64Array): void {
  for (let i = 0; i < ring.length; i += 2) builder.addVertex(ring[i]!, ring[i + 1]!)
  builder.endRing()
}
