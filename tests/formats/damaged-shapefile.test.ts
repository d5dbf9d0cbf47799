import fc from 'fast-check'
import { unzipSync, zipSync } from 'fflate'
import { describe, expect, it } from 'vitest'
import { describeReading, readFile, writeShapefile } from '../../core/formats/index.ts'
import { columnValue, findColumn } from '../../core/geo/index.ts'

// Ten square parcels: each .shp record takes 8 + 44 + 4 + 5 x 16 = 136 bytes, each .dbf row 1 + 6
// (ESRI Shapefile Technical Description, July 1998, pages 4-9).
const COUNT = 10
const RECORD = 136
const UTM = 'EPSG:32623'
const WHOLE = unzipSync(
  writeShapefile({
    name: 'lots',
    kind: 'polygon',
    prj: '',
    fields: [{ name: 'PIN', type: 'text', width: 6 }],
    shapes: Array.from({ length: COUNT }, (_, i) => [[10 * i, 0, 10 * i, 9, 10 * i + 9, 9, 10 * i + 9, 0, 10 * i, 0]]),
    rows: Array.from({ length: COUNT }, (_, i) => [`P${i + 1}`]),
  }),
)

type Ending = 'shp' | 'shx' | 'dbf'
type Change = (bytes: Uint8Array, view: DataView) => Uint8Array | undefined

/** The layer with some of its files changed; undefined leaves a file out. */
function damaged(changes: Partial<Record<Ending, Change>>): Uint8Array {
  const files: Record<string, Uint8Array> = {}
  for (const ending of ['shp', 'shx', 'dbf'] as const) {
    const copy = WHOLE[`lots.${ending}`]!.slice()
    const change = changes[ending]
    const changed = change ? change(copy, new DataView(copy.buffer)) : copy
    if (changed) files[`lots.${ending}`] = changed
  }
  return zipSync(files, { level: 0 })
}

const cut =
  (bytes: number): Change =>
  file =>
    file.slice(0, bytes)
const missing: Change = () => undefined
const edit =
  (change: (view: DataView) => void): Change =>
  (bytes, view) => {
    change(view)
    return bytes
  }

async function read(bytes: Uint8Array) {
  const reading = await readFile('lots.zip', bytes, { crs: UTM })
  const layer = reading.layers[0]!
  const pins = findColumn(layer, 'PIN')
  return {
    ...reading,
    kept: [...layer.rows],
    refused: reading.rejected.map(problem => problem.row),
    pins: pins && Array.from({ length: layer.featureCount }, (_, i) => columnValue(pins, i)),
    west: Array.from({ length: layer.featureCount }, (_, i) => layer.geometry.coords[10 * i]),
    codes: reading.warnings.map(warning => warning.code),
    said: reading.warnings.map(warning => warning.reason).join('; '),
  }
}

const range = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, i) => from + i)

describe('a Shapefile of which a part is left', () => {
  it('keeps the whole records of a .shp that is cut off, and counts the rest by the table', async () => {
    const reading = await read(damaged({ shp: cut(100 + 7 * RECORD + 50) }))
    expect(reading).toMatchObject({ kept: range(1, 7), refused: [8, 9, 10], isDamaged: true })
    expect(reading.pins).toEqual(range(1, 7).map(n => `P${n}`))
    expect(reading.west).toEqual(range(0, 6).map(n => 10 * n))
    expect(reading.said).toMatch(/of 10 records 7 are kept and 3 refused/)
    expect(reading.said).toMatch(/\.shp says that it has 1460 bytes and has 1102: it is cut off/)
    for (const problem of reading.rejected) expect(problem).toMatchObject({ layer: 'lots', field: 'geometry' })
  })

  it('counts the record that was cut where neither index nor table is there', async () => {
    const reading = await read(damaged({ shp: cut(100 + 7 * RECORD + 50), shx: missing, dbf: missing }))
    expect(reading).toMatchObject({ kept: range(1, 7), refused: [8], isDamaged: true })
  })

  it('keeps all where only the length in the header is wrong', async () => {
    const reading = await read(damaged({ shp: edit(view => view.setInt32(24, 5000)) }))
    expect(reading).toMatchObject({ kept: range(1, 10), refused: [], isDamaged: true })
    expect(reading.codes).toContain('shp-cut-off')
  })

  it('keeps the shapes whose rows are in a .dbf that is shorter than its header says', async () => {
    const head = 32 + 32 + 1
    const reading = await read(damaged({ dbf: cut(head + 6 * 7 + 3) }))
    expect(reading).toMatchObject({ kept: range(1, 6), refused: range(7, 10), isDamaged: true })
    expect(reading.rejected[0]).toMatchObject({ field: 'attributes' })
    expect(reading.said).toMatch(/says 10 records of 7 bytes after 65, and has 110 bytes/)
  })

  it('pairs in order where .shp and .dbf differ in number, and refuses what has no partner', async () => {
    const fewerRows = await read(damaged({ dbf: edit(view => view.setUint32(4, 8, true)) }))
    expect(fewerRows).toMatchObject({ kept: range(1, 8), refused: [9, 10], isDamaged: true })
    expect(fewerRows.said).toMatch(/\.shp holds 10 records, the \.dbf 8; they are paired in order/)
    const shorter = 100 + 6 * RECORD
    const fewerShapes = await read(
      damaged({
        shp: bytes => {
          const copy = bytes.slice(0, shorter)
          new DataView(copy.buffer).setInt32(24, shorter / 2)
          return copy
        },
      }),
    )
    expect(fewerShapes).toMatchObject({ kept: range(1, 6), refused: range(7, 10), isDamaged: true })
  })

  it('passes over a damaged record by the index, and stops there without one', async () => {
    const third = 100 + 2 * RECORD + 4
    const broken = edit(view => view.setInt32(third, 1_000_000))
    const reading = await read(damaged({ shp: broken }))
    expect(reading).toMatchObject({ kept: [1, 2, ...range(4, 10)], refused: [3], isDamaged: true })
    expect(reading.pins?.[2]).toBe('P4')
    expect(reading.west[2]).toBe(30)
    const without = await read(damaged({ shp: broken, shx: missing }))
    expect(without).toMatchObject({ kept: [1, 2], refused: range(3, 10), isDamaged: true })
  })
})

describe('an index that is missing or wrong', () => {
  it('is not needed, and its absence is said', async () => {
    const reading = await read(damaged({ shx: missing }))
    expect(reading).toMatchObject({ kept: range(1, 10), refused: [], isDamaged: false })
    expect(reading.codes).toEqual(['shx-missing'])
  })

  it.each<[string, Change, RegExp]>([
    ['cut off', cut(100 + 4 * 8), /is cut off: it says 10 records and holds 4/],
    ['of other bytes', edit(view => view.setInt32(0, 7)), /is none: its first bytes are not 9994/],
    ['pointing elsewhere', edit(view => view.setInt32(100 + 8 * 4, 60)), /puts record 5 elsewhere/],
    ['empty', cut(0), /is none/],
  ])('%s is built anew, and said', async (_, change, words) => {
    const reading = await read(damaged({ shx: change }))
    expect(reading).toMatchObject({ kept: range(1, 10), refused: [], isDamaged: true })
    expect(reading.codes).toEqual(['shx-wrong'])
    expect(reading.said).toMatch(words)
  })

  it('is followed over records that a program left behind when it changed shapes in place', async () => {
    // Record 2 was written anew at the end of the file; its old bytes are still where they were.
    const reading = await read(
      damaged({
        shp: bytes => {
          const grown = new Uint8Array(bytes.length + RECORD)
          grown.set(bytes)
          grown.set(bytes.subarray(100 + RECORD, 100 + 2 * RECORD), bytes.length)
          const view = new DataView(grown.buffer)
          view.setInt32(24, grown.length / 2)
          for (const corner of [0, 4]) view.setFloat64(bytes.length + 8 + 48 + 16 * corner, -500, true)
          return grown
        },
        shx: edit(view => view.setInt32(100 + 8, (100 + COUNT * RECORD) / 2)),
      }),
    )
    expect(reading).toMatchObject({ kept: range(1, 10), refused: [], isDamaged: false })
    expect(reading.codes).toEqual(['shp-spare-records'])
    expect(reading.west[1]).toBe(-500)
  })
})

describe('what cannot be trusted at all', () => {
  it.each<[string, Partial<Record<Ending, Change>>, RegExp]>([
    ['a .shp without one whole record', { shp: cut(180) }, /cut off/],
    ['a .dbf without one whole row', { dbf: cut(68) }, /says 10 records/],
    ['a .dbf that ends in its header', { dbf: cut(40) }, /says 10 records/],
    [
      'a row count that nothing bears out',
      { dbf: edit(view => view.setUint32(4, 4e9, true)) },
      /says 4000000000 records/,
    ],
    ['a .shp of other bytes', { shp: edit(view => view.setInt32(0, 7)) }, /not 9994/],
  ])('%s is refused', async (_, changes, words) => {
    await expect(readFile('lots.zip', damaged(changes), { crs: UTM })).rejects.toThrow(words)
  })
})

it('keeps and refuses every row once, wherever the files are cut', async () => {
  const lengthOf = (ending: Ending) => WHOLE[`lots.${ending}`]!.length
  await fc.assert(
    fc.asyncProperty(
      fc.integer({ min: 240, max: lengthOf('shp') }),
      fc.integer({ min: 0, max: lengthOf('shx') }),
      fc.integer({ min: 75, max: lengthOf('dbf') }),
      async (shp, shx, dbf) => {
        const reading = await readFile('lots.zip', damaged({ shp: cut(shp), shx: cut(shx), dbf: cut(dbf) }), {
          crs: UTM,
        })
        const features = describeReading(reading).layers[0]!.features
        const rows = [...reading.layers[0]!.rows, ...reading.rejected.map(problem => problem.row)]
        expect(rows.toSorted((a, b) => a! - b!)).toEqual(range(1, rows.length))
        const whole = Math.min(Math.floor((shp - 100) / RECORD), Math.floor((dbf - 65) / 7), COUNT)
        expect(features).toBe(whole)
        expect(reading.isDamaged || reading.rejected.length === 0).toBe(true)
      },
    ),
    { numRuns: 300, seed: 20261125 },
  )
})
