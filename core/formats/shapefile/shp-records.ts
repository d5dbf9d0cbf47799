import { type Geometry, GeometryBuilder } from '../../geo/index.ts'
import type { Problem } from '../../model/problem.ts'
import { shortValue } from '../file-reading.ts'
import { groupRings } from '../ring-groups.ts'
import { SHAPE_TYPES, type ShpIndex, type ShpPlace } from './shp-index.ts'

const WITH_Z = new Set([11, 13, 15, 18])
const WITH_M = new Set([21, 23, 25, 28])

/** Repairs of one layer, counted. */
interface Repairs {
  closed: number
  droppedRings: number
  droppedPaths: number
  orphans: number
}

/** Decodes records one by one into geometry columns. */
export interface ShpDecoder {
  /** Adds record i as the next feature; gives the reason where it cannot be one (nothing is then added). */
  add(record: number): { readonly reason: string; readonly value: string } | undefined
  build(): Geometry
  /** What was repaired or dropped so far. */
  warnings(): Problem[]
}

/**
 * A decoder of the records of a .shp into columns: outer rings counter-clockwise, holes clockwise, Z and M left out.
 * Source: ESRI Shapefile Technical Description, July 1998, pages 6-15.
 */
export function createShpDecoder(place: ShpPlace, shp: Uint8Array, index: ShpIndex): ShpDecoder {
  const builder = new GeometryBuilder()
  const repairs: Repairs = { closed: 0, droppedRings: 0, droppedPaths: 0, orphans: 0 }
  const view = new DataView(shp.buffer, shp.byteOffset, shp.byteLength)
  return {
    add(record) {
      const at = index.offsets[record]!
      const type = view.getInt32(at, true)
      if (type === 0) {
        builder.endFeature('none')
        return undefined
      }
      const shape = { view, at, length: index.lengths[record]!, type }
      const failure =
        type !== index.shapeType
          ? `is of type ${type} in a file of type ${index.shapeType}`
          : addShape(builder, shape, repairs)
      if (failure === undefined) return undefined
      builder.dropUnfinishedFeature()
      return { reason: `The shape ${failure}`, value: shortValue(type) }
    },
    build: () => builder.build(),
    warnings: () => [...dimensionWarnings(place, index.shapeType), ...repairWarnings(place, repairs)],
  }
}

interface Shape {
  readonly view: DataView
  readonly at: number
  readonly length: number
  readonly type: number
}

const CUT_OFF = 'is shorter than its own counts say'
const NOT_FINITE = 'has a coordinate that is not a finite number'

/** Adds the shape; the reason where it cannot be read. */
function addShape(builder: GeometryBuilder, shape: Shape, repairs: Repairs): string | undefined {
  if (SHAPE_TYPES.points.has(shape.type)) return addPoints(builder, shape, shape.at + 4, 1)
  if (SHAPE_TYPES.multipoints.has(shape.type)) {
    if (shape.length < 40) return CUT_OFF
    return addPoints(builder, shape, shape.at + 40, shape.view.getInt32(shape.at + 36, true))
  }
  return addPaths(builder, shape, repairs)
}

function addPoints(builder: GeometryBuilder, shape: Shape, from: number, count: number): string | undefined {
  if (count < 0 || from + 16 * count > shape.at + shape.length) return CUT_OFF
  for (let i = 0; i < count; i++) {
    const [x, y] = [shape.view.getFloat64(from + 16 * i, true), shape.view.getFloat64(from + 16 * i + 8, true)]
    if (!Number.isFinite(x) || !Number.isFinite(y)) return NOT_FINITE
    builder.addVertex(x, y)
    builder.endRing()
    builder.endPart()
  }
  builder.endFeature('point')
  return undefined
}

function addPaths(builder: GeometryBuilder, shape: Shape, repairs: Repairs): string | undefined {
  const { view, at } = shape
  if (shape.length < 44) return CUT_OFF
  const partCount = view.getInt32(at + 36, true)
  const pointCount = view.getInt32(at + 40, true)
  if (partCount < 0 || pointCount < 0 || 44 + 4 * partCount + 16 * pointCount > shape.length) return CUT_OFF
  const paths: Float64Array[] = []
  for (let part = 0; part < partCount; part++) {
    const from = view.getInt32(at + 44 + 4 * part, true)
    const to = part + 1 < partCount ? view.getInt32(at + 48 + 4 * part, true) : pointCount
    if (from < 0 || to < from || to > pointCount) return 'has parts that are out of order'
    const path = readPath(view, at + 44 + 4 * partCount + 16 * from, to - from)
    if (!path) return NOT_FINITE
    paths.push(path)
  }
  return SHAPE_TYPES.polygons.has(shape.type) ? addPolygon(builder, paths, repairs) : addLine(builder, paths, repairs)
}

function readPath(view: DataView, from: number, count: number): Float64Array | undefined {
  const path = new Float64Array(2 * count)
  let sum = 0
  for (let i = 0; i < path.length; i++) {
    path[i] = view.getFloat64(from + 8 * i, true)
    // x - x is 0 for a finite number, else NaN.
    sum += path[i]! - path[i]!
  }
  return sum === 0 ? path : undefined
}

function addLine(builder: GeometryBuilder, paths: readonly Float64Array[], repairs: Repairs): string | undefined {
  const whole = paths.filter(path => path.length >= 4)
  repairs.droppedPaths += paths.length - whole.length
  if (whole.length === 0 && paths.length > 0) return 'has no path of two points or more'
  for (const path of whole) {
    addRing(builder, path)
    builder.endPart()
  }
  builder.endFeature('line')
  return undefined
}

function addPolygon(builder: GeometryBuilder, paths: readonly Float64Array[], repairs: Repairs): string | undefined {
  const closed = paths.map(path => closeRing(path, repairs))
  const whole = closed.filter(ring => ring.length >= 8)
  repairs.droppedRings += closed.length - whole.length
  if (whole.length === 0 && paths.length > 0) return 'has no ring of four points or more'
  const { polygons, orphans } = groupRings(whole)
  repairs.orphans += orphans
  for (const polygon of polygons) {
    for (const ring of polygon) addRing(builder, ring)
    builder.endPart()
  }
  builder.endFeature('polygon')
  return undefined
}

function closeRing(path: Float64Array, repairs: Repairs): Float64Array {
  const last = path.length - 2
  if (path.length < 6 || (path[0] === path[last] && path[1] === path[last + 1])) return path
  repairs.closed++
  return Float64Array.from([...path, path[0]!, path[1]!])
}

function addRing(builder: GeometryBuilder, ring: Float64Array): void {
  for (let i = 0; i < ring.length; i += 2) builder.addVertex(ring[i]!, ring[i + 1]!)
  builder.endRing()
}

function dimensionWarnings(place: ShpPlace, type: number): Problem[] {
  const dropped = WITH_Z.has(type) ? 'Heights (Z) and measures (M)' : WITH_M.has(type) ? 'Measures (M)' : null
  if (dropped === null) return []
  return [{ code: 'z-m-dropped', ...place, reason: `${dropped} of the shapes are left out` }]
}

function repairWarnings(place: ShpPlace, repairs: Repairs): Problem[] {
  const list: [string, number, string][] = [
    ['ring-closed', repairs.closed, 'rings were open and are closed'],
    ['ring-dropped', repairs.droppedRings, 'rings of fewer than four points are left out'],
    ['path-dropped', repairs.droppedPaths, 'paths of a single point are left out'],
    ['hole-without-outer', repairs.orphans, 'holes lie in no outer ring and are read as outer rings'],
  ]
  return list
    .filter(([, count]) => count > 0)
    .map(([code, count, text]) => ({ code, ...place, reason: `${count} ${text}` }))
}
