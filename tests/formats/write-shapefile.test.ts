import { unzipSync } from 'fflate'
import { describe, expect, it } from 'vitest'
import { type ShapefileLayer, shortenFieldNames, writeShapefile } from '../../core/formats/write-shapefile.ts'

// Offsets and codes: ESRI Shapefile Technical Description (July 1998), pages 4-9; dBASE III header.

const POINTS: ShapefileLayer = {
  name: 'places',
  kind: 'point',
  prj: 'GEOGCS["GCS_WGS_1984"]',
  fields: [
    { name: 'name', type: 'text', width: 8 },
    { name: 'count', type: 'number', width: 6, decimals: 1 },
    { name: 'seen', type: 'date', width: 8 },
    { name: 'is_found', type: 'logical', width: 1 },
  ],
  shapes: [[[10, 20]], [], [[-3, 7]]],
  rows: [
    ['Ñandú', 1.25, '2025-07-31', true],
    [null, null, null, false],
    ['b', -2, '2024-01-02', true],
  ],
}

const open = (layer: ShapefileLayer) => {
  const files = unzipSync(writeShapefile(layer))
  const view = (end: string) => {
    const bytes = files[`${layer.name}.${end}`] as Uint8Array
    return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  }
  return { files, view }
}

describe('writeShapefile', () => {
  it('writes the header: code 9994, length in words, version, type, box', () => {
    const { view } = open(POINTS)
    const shp = view('shp')
    expect([shp.getInt32(0), shp.getInt32(24) * 2, shp.getInt32(28, true), shp.getInt32(32, true)]).toEqual([
      9994,
      shp.byteLength,
      1000,
      1,
    ])
    expect([36, 44, 52, 60].map(at => shp.getFloat64(at, true))).toEqual([-3, 7, 10, 20])
  })

  it('keeps a row without geometry as a null shape, and indexes each record', () => {
    const { view } = open(POINTS)
    const [shp, shx] = [view('shp'), view('shx')]
    expect(shx.byteLength).toBe(100 + 3 * 8)
    const second = shx.getInt32(108) * 2
    expect([shp.getInt32(second), shp.getInt32(second + 4), shp.getInt32(second + 8, true)]).toEqual([2, 2, 0])
  })

  it('writes parts and vertices of polygons in the order given', () => {
    const ring = [0, 0, 0, 4, 4, 4, 4, 0, 0, 0]
    const hole = [1, 1, 2, 1, 2, 2, 1, 1]
    const { view } = open({
      ...POINTS,
      kind: 'polygon',
      fields: [{ name: 'a', type: 'text', width: 1 }],
      shapes: [[ring, hole]],
      rows: [['x']],
    })
    const shp = view('shp')
    expect([shp.getInt32(108, true), shp.getInt32(144, true), shp.getInt32(148, true)]).toEqual([5, 2, 9])
    expect([shp.getInt32(152, true), shp.getInt32(156, true)]).toEqual([0, 5])
    expect(Array.from({ length: 18 }, (_, k) => shp.getFloat64(160 + 8 * k, true))).toEqual([...ring, ...hole])
  })

  it('writes the table in UTF-8, numbers to the right, absent values blank', () => {
    const { files, view } = open(POINTS)
    const dbf = view('dbf')
    const [head, width] = [dbf.getUint16(8, true), dbf.getUint16(10, true)]
    expect([dbf.getUint8(0), dbf.getUint32(4, true), head, width]).toEqual([3, 3, 32 * 5 + 1, 24])
    const row = (r: number) =>
      new TextDecoder().decode((files['places.dbf'] as Uint8Array).slice(head + r * width, head + (r + 1) * width))
    // Seven bytes of UTF-8 and one blank fill the text field of eight.
    expect([row(0), row(1)]).toEqual([' Ñandú    1.320250731T', `${' '.repeat(23)}F`])
    expect(new TextDecoder().decode(files['places.cpg'])).toBe('UTF-8')
  })

  it('gives the same bytes each time', () => {
    expect(writeShapefile(POINTS)).toEqual(writeShapefile(POINTS))
  })

  it('refuses what would be cut short, and rows that do not match shapes', () => {
    const long = { ...POINTS, rows: [['too long a name', 1, null, null], ...POINTS.rows.slice(1)] }
    expect(() => writeShapefile(long)).toThrow('row 1, field name: "too long a name" needs 15 bytes, the field has 8')
    expect(() => writeShapefile({ ...POINTS, rows: [] })).toThrow('0 rows for 3 shapes')
  })
})

describe('shortenFieldNames', () => {
  it('makes names of ten characters at most, each once in any case', () => {
    expect(shortenFieldNames(['infested_area_m2', 'infested_area_ha', 'Name', 'name', 'größe (m²)', ''])).toEqual([
      'infested_a',
      'infested_1',
      'Name',
      'name_1',
      'gr__e__m__',
      'field',
    ])
  })
})
