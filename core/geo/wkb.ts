import type { MultiPath, MultiPolygon, Path, Ring } from '../model/geometry.ts'

/**
 * Well-known binary, little-endian, two dimensions.
 * Source: OGC 06-103r4, Simple Feature Access part 1 (2011), clause 8.2.
 */
export const WKB = {
  point: 1,
  lineString: 2,
  polygon: 3,
  multiPoint: 4,
  multiLineString: 5,
  multiPolygon: 6,
  collection: 7,
} as const

/** Grows a little-endian buffer. */
export class WkbWriter {
  #bytes = new Uint8Array(1024)
  #view = new DataView(this.#bytes.buffer)
  #used = 0

  #reserve(length: number): void {
    if (this.#used + length <= this.#bytes.length) return
    const wider = new Uint8Array(Math.max(this.#bytes.length * 2, this.#used + length))
    wider.set(this.#bytes)
    this.#bytes = wider
    this.#view = new DataView(wider.buffer)
  }

  byte(value: number): void {
    this.#reserve(1)
    this.#bytes[this.#used++] = value
  }

  uint32(value: number): void {
    this.#reserve(4)
    this.#view.setUint32(this.#used, value, true)
    this.#used += 4
  }

  /** Numbers `start` (included) to `end` (excluded) of an array of coordinates. */
  doubles(values: Float64Array, start = 0, end = values.length): void {
    this.#reserve((end - start) * 8)
    for (let i = start; i < end; i++) {
      this.#view.setFloat64(this.#used, values[i]!, true)
      this.#used += 8
    }
  }

  header(type: number): void {
    this.byte(1)
    this.uint32(type)
  }

  finish(): Uint8Array<ArrayBuffer> {
    return this.#bytes.slice(0, this.#used)
  }
}

/** Polygons as one MultiPolygon. */
export function writePolygonsWkb(shape: MultiPolygon): Uint8Array<ArrayBuffer> {
  const writer = new WkbWriter()
  writer.header(WKB.multiPolygon)
  writer.uint32(shape.length)
  for (const polygon of shape) {
    writer.header(WKB.polygon)
    writer.uint32(polygon.length)
    for (const ring of polygon) writeVertices(writer, ring)
  }
  return writer.finish()
}

/** Paths as one MultiLineString. */
export function writePathsWkb(paths: MultiPath): Uint8Array<ArrayBuffer> {
  const writer = new WkbWriter()
  writer.header(WKB.multiLineString)
  writer.uint32(paths.length)
  for (const path of paths) {
    writer.header(WKB.lineString)
    writeVertices(writer, path)
  }
  return writer.finish()
}

function writeVertices(writer: WkbWriter, vertices: Float64Array): void {
  writer.uint32(vertices.length / 2)
  writer.doubles(vertices)
}

/** What a well-known binary holds, by dimension; collections are opened. */
export interface WkbContent {
  /** x, y of every point. */
  readonly points: number[]
  readonly paths: Path[]
  readonly polygons: Ring[][]
}

/** Errors: a plain Error for types with Z or M and for bytes that end too early. */
export function readWkb(bytes: Uint8Array, offset = 0): WkbContent {
  const content: WkbContent = { points: [], paths: [], polygons: [] }
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  readGeometry(view, offset, content)
  return content
}

function readGeometry(view: DataView, start: number, content: WkbContent): number {
  const isLittle = view.getUint8(start) === 1
  const type = view.getUint32(start + 1, isLittle)
  const at = start + 5
  if (type === WKB.point) return readPoint(view, at, isLittle, content)
  const count = view.getUint32(at, isLittle)
  if (type === WKB.lineString) {
    const path = readVertices(view, at, isLittle)
    if (path.length > 0) content.paths.push(path)
    return at + 4 + path.length * 8
  }
  if (type === WKB.polygon) return readPolygon(view, at, isLittle, content)
  if (type < WKB.multiPoint || type > WKB.collection) throw new Error(`Geometry type ${type} is not two-dimensional`)
  let next = at + 4
  for (let i = 0; i < count; i++) next = readGeometry(view, next, content)
  return next
}

function readPoint(view: DataView, at: number, isLittle: boolean, content: WkbContent): number {
  const [x, y] = [view.getFloat64(at, isLittle), view.getFloat64(at + 8, isLittle)]
  // The empty point is written with NaN coordinates.
  if (!Number.isNaN(x)) content.points.push(x, y)
  return at + 16
}

function readPolygon(view: DataView, at: number, isLittle: boolean, content: WkbContent): number {
  const count = view.getUint32(at, isLittle)
  const polygon: Ring[] = []
  let next = at + 4
  for (let i = 0; i < count; i++) {
    const ring = readVertices(view, next, isLittle)
    polygon.push(ring)
    next += 4 + ring.length * 8
  }
  if (polygon.length > 0) content.polygons.push(polygon)
  return next
}

function readVertices(view: DataView, at: number, isLittle: boolean): Float64Array {
  const count = view.getUint32(at, isLittle)
  if (at + 4 + count * 16 > view.byteLength) throw new Error('The geometry ends too early')
  const vertices = new Float64Array(count * 2)
  for (let i = 0; i < vertices.length; i++) vertices[i] = view.getFloat64(at + 4 + i * 8, isLittle)
  return vertices
}
