import { zipSync } from 'fflate'

/** A table column of a Shapefile. `width` is in bytes; `decimals` of numbers only. */
export interface ShapefileField {
  readonly name: string
  readonly type: 'text' | 'number' | 'date' | 'logical'
  readonly width: number
  readonly decimals?: number
}

/** Rings or paths of one feature as flat x, y lists; rings closed. A point is one list of one pair. Empty: no geometry. */
export type ShapefileShape = readonly (readonly number[])[]

export interface ShapefileLayer {
  readonly name: string
  readonly kind: 'point' | 'line' | 'polygon'
  /** ESRI-style well-known text of the CRS. */
  readonly prj: string
  readonly fields: readonly ShapefileField[]
  readonly shapes: readonly ShapefileShape[]
  /** One row a shape, values in the order of the fields; dates as YYYY-MM-DD. */
  readonly rows: readonly (readonly (string | number | boolean | null)[])[]
}

const SHAPE_TYPE = { point: 1, line: 3, polygon: 5 } as const

/**
 * Zipped Shapefile: .shp, .shx, .dbf, .prj and .cpg (UTF-8).
 *
 * Polygons: rings go out as given; the format wants outer rings clockwise and holes anticlockwise.
 * Same input, same bytes: the times in the zip are 1 January 1980, the earliest it can hold.
 * Errors: throws when a text or number does not fit its field, or rows and shapes differ in number.
 * Source: ESRI Shapefile Technical Description (July 1998); dBASE III table layout.
 */
export function writeShapefile(layer: ShapefileLayer): Uint8Array {
  if (layer.rows.length !== layer.shapes.length)
    throw new Error(`${layer.rows.length} rows for ${layer.shapes.length} shapes; each shape needs one row`)
  const { shp, shx } = writeShapes(layer)
  const encoder = new TextEncoder()
  const files = {
    [`${layer.name}.shp`]: shp,
    [`${layer.name}.shx`]: shx,
    [`${layer.name}.dbf`]: writeTable(layer),
    [`${layer.name}.prj`]: encoder.encode(layer.prj),
    [`${layer.name}.cpg`]: encoder.encode('UTF-8'),
  }
  // A zip holds local times; noon keeps every time zone within the year that the format can express.
  return zipSync(files, { level: 9, mtime: '1980-01-02T12:00:00' })
}

/** Names as the table can hold them: at most 10 bytes of letters, digits and underscore, each once. */
export function shortenFieldNames(names: readonly string[]): string[] {
  const taken = new Set<string>()
  return names.map(name => {
    const clean = name.replace(/[^A-Za-z0-9_]/g, '_').slice(0, 10) || 'field'
    let short = clean
    for (let n = 1; taken.has(short.toLowerCase()); n++) short = `${clean.slice(0, 10 - String(n).length - 1)}_${n}`
    taken.add(short.toLowerCase())
    return short
  })
}

function writeShapes(layer: ShapefileLayer): { shp: Uint8Array; shx: Uint8Array } {
  const records = layer.shapes.map(shape => writeRecord(layer.kind, shape))
  const bytes = records.reduce((sum, record) => sum + 8 + record.length, 100)
  const shp = new DataView(new ArrayBuffer(bytes))
  const shx = new DataView(new ArrayBuffer(100 + 8 * records.length))
  const box = boxOf(layer.shapes.flat())
  writeHeader(shp, layer.kind, box)
  writeHeader(shx, layer.kind, box)
  let at = 100
  records.forEach((record, i) => {
    shx.setInt32(100 + 8 * i, at / 2)
    shx.setInt32(104 + 8 * i, record.length / 2)
    shp.setInt32(at, i + 1)
    shp.setInt32(at + 4, record.length / 2)
    new Uint8Array(shp.buffer).set(record, at + 8)
    at += 8 + record.length
  })
  return { shp: new Uint8Array(shp.buffer), shx: new Uint8Array(shx.buffer) }
}

function writeHeader(view: DataView, kind: ShapefileLayer['kind'], box: readonly number[]): void {
  view.setInt32(0, 9994)
  view.setInt32(24, view.byteLength / 2)
  view.setInt32(28, 1000, true)
  view.setInt32(32, SHAPE_TYPE[kind], true)
  box.forEach((value, i) => {
    view.setFloat64(36 + 8 * i, value, true)
  })
}

function writeRecord(kind: ShapefileLayer['kind'], shape: ShapefileShape): Uint8Array {
  const vertices = shape.reduce((sum, part) => sum + part.length / 2, 0)
  if (vertices === 0) return new Uint8Array(4)
  const isPoint = kind === 'point'
  const view = new DataView(new ArrayBuffer(isPoint ? 20 : 44 + 4 * shape.length + 16 * vertices))
  view.setInt32(0, SHAPE_TYPE[kind], true)
  let at = 4
  if (!isPoint) {
    boxOf(shape).forEach((value, i) => {
      view.setFloat64(4 + 8 * i, value, true)
    })
    view.setInt32(36, shape.length, true)
    view.setInt32(40, vertices, true)
    at = 44
    let first = 0
    for (const part of shape) {
      view.setInt32(at, first, true)
      first += part.length / 2
      at += 4
    }
  }
  for (const part of shape)
    for (const value of part) {
      view.setFloat64(at, value, true)
      at += 8
    }
  return new Uint8Array(view.buffer)
}

function boxOf(parts: readonly (readonly number[])[]): [number, number, number, number] {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const part of parts)
    for (let i = 0; i + 1 < part.length; i += 2) {
      west = Math.min(west, part[i]!)
      east = Math.max(east, part[i]!)
      south = Math.min(south, part[i + 1]!)
      north = Math.max(north, part[i + 1]!)
    }
  return west <= east ? [west, south, east, north] : [0, 0, 0, 0]
}

const TYPE_LETTER = { text: 'C', number: 'N', date: 'D', logical: 'L' } as const

function writeTable(layer: ShapefileLayer): Uint8Array {
  const encoder = new TextEncoder()
  const names = shortenFieldNames(layer.fields.map(field => field.name))
  const width = layer.fields.reduce((sum, field) => sum + field.width, 1)
  const head = 32 * layer.fields.length + 33
  const table = new Uint8Array(head + width * layer.rows.length + 1)
  const view = new DataView(table.buffer)
  // Version 3, and 1 January 2000 as the day of the last change: the day of the run would change the bytes.
  table.set([3, 100, 1, 1])
  view.setUint32(4, layer.rows.length, true)
  view.setUint16(8, head, true)
  view.setUint16(10, width, true)
  layer.fields.forEach((field, f) => {
    table.set(encoder.encode(names[f]), 32 + 32 * f)
    table.set(encoder.encode(TYPE_LETTER[field.type]), 43 + 32 * f)
    table.set([field.width, field.decimals ?? 0], 48 + 32 * f)
  })
  table[head - 1] = 13
  table.fill(32, head, table.length - 1)
  let at = head
  layer.rows.forEach((row, r) => {
    at += 1
    layer.fields.forEach((field, f) => {
      const cell = encoder.encode(cellText(row[f] ?? null, field))
      if (cell.length > field.width)
        throw new Error(
          `row ${r + 1}, field ${field.name}: "${row[f]}" needs ${cell.length} bytes, the field has ${field.width}`,
        )
      table.set(cell, field.type === 'number' ? at + field.width - cell.length : at)
      at += field.width
    })
  })
  table[table.length - 1] = 26
  return table
}

function cellText(value: string | number | boolean | null, field: ShapefileField): string {
  if (value === null) return ''
  if (field.type === 'number') return Number.isFinite(Number(value)) ? Number(value).toFixed(field.decimals ?? 0) : ''
  if (field.type === 'date') return String(value).replaceAll('-', '')
  if (field.type === 'logical') return value ? 'T' : 'F'
  return String(value)
}
