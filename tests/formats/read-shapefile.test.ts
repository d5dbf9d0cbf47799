import { readFileSync } from 'node:fs'
import { unzipSync, zipSync } from 'fflate'
import { describe, expect, it } from 'vitest'
import { describeReading, readFile } from '../../core/formats/index.ts'
import { crc32 } from '../../core/formats/shapefile/crc32.ts'
import { flattenXY, readWithShpjs } from '../../core/formats/shapefile/second-reading.ts'
import { columnValue, findColumn, type Layer, multiPolygonOf } from '../../core/geo/index.ts'
import { createRandom } from '../../core/stats/index.ts'

// Both archives were written by GDAL 3.6.2 (ogr2ogr) from GeoJSON with known coordinates; see the expected values below.
const fixture = (name: string) => new Uint8Array(readFileSync(new URL(`./fixtures/${name}`, import.meta.url)))
const PARCELS = fixture('gdal-parcels.zip')
const CREEKS = fixture('gdal-creeks.zip')

type Files = Record<string, Uint8Array>
const repacked = (bytes: Uint8Array, change: (files: Files) => void): Uint8Array => {
  const files: Files = { ...unzipSync(bytes) }
  change(files)
  return zipSync(files)
}
const edit = (files: Files, ending: string, change: (bytes: Uint8Array, view: DataView) => void) => {
  const name = Object.keys(files).find(key => key.endsWith(ending))!
  const copy = files[name]!.slice()
  change(copy, new DataView(copy.buffer))
  files[name] = copy
}
const values = (layer: Layer, name: string) =>
  Array.from({ length: layer.featureCount }, (_, i) => columnValue(findColumn(layer, name)!, i))

describe('a zipped Shapefile written by GDAL', () => {
  it('gives names, types and values as they were written', async () => {
    const reading = await readFile('county.zip', PARCELS)
    expect(reading).toMatchObject({ format: 'shapefile', rejected: [], isDamaged: false, warnings: [] })
    const layer = reading.layers[0]!
    expect(layer).toMatchObject({
      name: 'parcels',
      kind: 'polygon',
      featureCount: 3,
      crs: 'EPSG:32623',
      crsSource: 'file',
      encoding: 'UTF-8',
    })
    expect([...layer.rows]).toEqual([1, 2, 3])
    expect(layer.columns.map(column => [column.name, column.type])).toEqual([
      ['PIN', 'text'],
      ['OWNER', 'text'],
      ['AREA_N', 'number'],
      ['COUNT', 'integer'],
      ['SOLD', 'date'],
      ['OK', 'integer'],
    ])
    expect(values(layer, 'PIN')).toEqual(['007', '008', '009'])
    expect(values(layer, 'OWNER')).toEqual(['Señora Ö', null, 'plain'])
    expect(values(layer, 'AREA_N')).toEqual([12.5, null, -0.25])
    expect(values(layer, 'COUNT')).toEqual([3, null, -7])
    expect(values(layer, 'SOLD')).toEqual(['2024-02-29', null, '1999-12-31'])
  })

  it('sorts rings into polygons, holes and islands in holes', async () => {
    const layer = (await readFile('county.zip', PARCELS)).layers[0]!
    const second = multiPolygonOf(layer, 1)
    expect(second.map(polygon => polygon.length).sort()).toEqual([1, 2])
    const outer = second.find(polygon => polygon.length === 2)!
    expect(Math.min(...outer[0]!)).toBe(430200)
    // The hole is the one around the island, not the island itself.
    expect(Math.min(...outer[1]!)).toBe(430210)
    expect([...layer.geometry.kinds]).toEqual([3, 3, 0])
  })

  it('describes lengths, areas and bounds as GeographicLib and PROJ give them', async () => {
    const [parcels] = describeReading(await readFile('county.zip', PARCELS)).layers
    expect(parcels).toMatchObject({
      features: 3,
      null_geometries: 1,
      parts: 3,
      vertices: 25,
      length_m: 0,
      crs_source: 'file',
    })
    // Planimeter (GeographicLib) on corners from cs2cs (PROJ 9.1.1): 10006.7976 - 400.2719 + 10006.8045 - 6404.3549 + 400.2722.
    expect(parcels!.area_m2!).toBeCloseTo(13609.2475, 2)
    // cs2cs EPSG:32623 EPSG:4326 of the corners.
    const bounds = [-45.7736748458187, 35.6914286621558, -45.7703506957635, 35.692351484065]
    bounds.forEach((value, i) => void expect(parcels!.bounds_wgs84![i]!).toBeCloseTo(value, 9))
    expect(parcels!.fields.map(field => field.filled)).toEqual([3, 2, 2, 2, 2, 2])
    const creeks = describeReading(await readFile('creeks.zip', CREEKS)).layers[0]!
    expect(creeks).toMatchObject({
      name: 'creeks',
      kind: 'line',
      features: 2,
      parts: 3,
      vertices: 7,
      area_m2: 0,
      crs: 'EPSG:4326',
    })
    // GeodSolve -i: 1431.804054 + 904.926370 + 905.039387 + 905.028086.
    expect(creeks.length_m!).toBeCloseTo(4146.797897, 4)
  })

  it('tells that heights are left out', async () => {
    const { warnings } = await readFile('creeks.zip', CREEKS)
    expect(warnings.map(warning => warning.code)).toEqual(['z-m-dropped'])
  })

  it('agrees with shpjs in every coordinate and value', async () => {
    for (const bytes of [PARCELS, CREEKS]) {
      const files = unzipSync(bytes)
      const part = (ending: string) => files[Object.keys(files).find(key => key.endsWith(ending))!]!
      const second = readWithShpjs({ shp: part('.shp'), dbf: part('.dbf'), cpg: 'UTF-8' })
      const layer = (await readFile('a.zip', bytes)).layers[0]!
      const theirs: number[] = []
      for (const geometry of second.geometries) if (geometry) flattenXY(geometry.coordinates, theirs)
      const pairs = (flat: ArrayLike<number>) =>
        Array.from({ length: flat.length / 2 }, (_, i) => `${flat[2 * i]} ${flat[2 * i + 1]}`).sort()
      expect(pairs(layer.geometry.coords)).toEqual(pairs(theirs))
      layer.columns.forEach(column => {
        second.rows.forEach((row, i) => {
          const ours = columnValue(column, i)
          const theirValue = row[column.name]
          if (theirValue instanceof Date) return
          if (ours === null)
            expect(Number.isNaN(theirValue) || theirValue === '' || theirValue === undefined).toBe(true)
          else expect(ours).toBe(theirValue)
        })
      })
    }
  })
})

describe('the gate', () => {
  const failure = async (bytes: Uint8Array) => {
    const error = await readFile('x.zip', bytes).then(
      () => undefined,
      (thrown: unknown) => thrown,
    )
    return error instanceof Error ? error.message : 'no error'
  }

  it('refuses a table whose header lies, which would hang other readers', async () => {
    const lying = repacked(PARCELS, files => edit(files, '.dbf', (_, view) => view.setUint32(4, 4_000_000_000, true)))
    expect(await failure(lying)).toMatch(/says 4000000000 records/)
    const noLength = repacked(PARCELS, files => edit(files, '.dbf', (_, view) => view.setUint16(10, 0, true)))
    expect(await failure(noLength)).toMatch(/records of 0 bytes/)
  })

  it('refuses what is no Shapefile, and one of which no record is whole', async () => {
    const cut = repacked(PARCELS, files => {
      const name = Object.keys(files).find(key => key.endsWith('.shp'))!
      files[name] = files[name]!.slice(0, 200)
    })
    expect(await failure(cut)).toMatch(/cut off/)
    const magic = repacked(PARCELS, files => edit(files, '.shp', (_, view) => view.setInt32(0, 1)))
    expect(await failure(magic)).toMatch(/not 9994/)
    const record = repacked(PARCELS, files => {
      edit(files, '.shp', (_, view) => view.setInt32(104, 1_000_000))
      delete files['data/parcels.shx']
    })
    expect(await failure(record)).toMatch(/Record 1 .* past the end/)
  })

  it('refuses bombs, lying sizes, twins and archives without shapes', async () => {
    const bomb = zipSync({ 'a.shp': new Uint8Array(5_000_000) })
    expect(await failure(bomb)).toMatch(/would unpack from/)
    const lying = PARCELS.slice()
    const at = lying.findIndex(
      (_, i) => lying[i] === 0x50 && lying[i + 1] === 0x4b && lying[i + 2] === 1 && lying[i + 3] === 2,
    )
    new DataView(lying.buffer).setUint32(at + 24, 1, true)
    expect(await failure(lying)).toMatch(/damaged/)
    const shp = unzipSync(PARCELS)['data/parcels.shp']!
    expect(await failure(zipSync({ 'a.shp': shp, 'A.SHP': shp }))).toMatch(/two entries/)
    expect(await failure(zipSync({ 'notes.txt': new Uint8Array(3) }))).toMatch(/holds no \.shp .*notes\.txt/)
    expect(
      await failure(
        zipSync(Object.fromEntries(Array.from({ length: 201 }, (_, i) => [`${i}.txt`, new Uint8Array(1)]))),
      ),
    ).toMatch(/201 entries/)
  })

  it('cleans paths and leaves resource forks out', async () => {
    const files = unzipSync(PARCELS)
    const renamed = Object.fromEntries(
      Object.entries(files).map(([name, bytes]) => [name.replace('data/', '../../C:/etc/'), bytes]),
    )
    const reading = await readFile('x.zip', zipSync({ ...renamed, '__MACOSX/._parcels.shp': new Uint8Array(9) }))
    expect(reading.layers.map(layer => layer.name)).toEqual(['parcels'])
  })

  it('refuses metres under a .prj that says degrees', async () => {
    const wgs84 = unzipSync(CREEKS)['creeks.prj']!
    const wrong = repacked(PARCELS, files => {
      files['data/parcels.prj'] = wgs84
    })
    expect(await failure(wrong)).toMatch(/says degrees, but longitude 430000/)
  })

  it('checks CRC-32 as published', () => {
    // ISO-HDLC check value of "123456789" (RevEng catalogue of parametrised CRC algorithms).
    expect(crc32(new TextEncoder().encode('123456789'))).toBe(0xcbf43926)
  })
})

describe('what is odd but legal', () => {
  it('skips rows marked as deleted, with a warning', async () => {
    const deleted = repacked(PARCELS, files =>
      edit(files, '.dbf', (bytes, view) => {
        bytes[view.getUint16(8, true)] = 0x2a
      }),
    )
    const { layers, warnings } = await readFile('x.zip', deleted)
    expect(values(layers[0]!, 'PIN')).toEqual(['008', '009'])
    expect([...layers[0]!.rows]).toEqual([2, 3])
    expect(warnings.map(warning => warning.code)).toContain('dbf-deleted')
  })

  it('reads without .prj, .shx and .dbf, and says so', async () => {
    const shp = unzipSync(PARCELS)['data/parcels.shp']!
    const bare = zipSync({ 'bare.shp': shp })
    const { layers, warnings } = await readFile('x.zip', bare)
    expect(layers[0]).toMatchObject({ crs: null, crsSource: 'none', columns: [] })
    expect(warnings.map(warning => warning.code).sort()).toEqual(['crs-missing', 'dbf-missing', 'shx-missing'])
    expect(describeReading(await readFile('x.zip', bare)).layers[0]).toMatchObject({
      bounds_wgs84: null,
      area_m2: null,
      length_m: null,
    })
    expect((await readFile('x.zip', bare, { crs: 'EPSG:32623' })).layers[0]).toMatchObject({
      crs: 'EPSG:32623',
      crsSource: 'brief',
    })
  })

  it('decodes by .cpg, else by the language driver, else UTF-8, else Windows-1252', async () => {
    const owner = async (change: (files: Files) => void) =>
      values((await readFile('x.zip', repacked(PARCELS, change))).layers[0]!, 'OWNER')[0]
    const put = (files: Files, bytes: number[], driver: number) =>
      edit(files, '.dbf', (dbf, view) => {
        const at = view.getUint16(8, true) + 1 + 80
        dbf.fill(0x20, at, at + 80)
        dbf.set(bytes, at)
        dbf[29] = driver
      })
    const without = (files: Files) => {
      delete files['data/parcels.cpg']
      return files
    }
    // 0x99 is Ö in code page 850, 0xD6 in Windows-1252 (Unicode mapping tables CP850.TXT, CP1252.TXT).
    expect(await owner(files => put(without(files), [0x99], 0x02))).toBe('Ö')
    expect(await owner(files => put(without(files), [0xd6], 0x57))).toBe('Ö')
    expect(await owner(files => put(without(files), [0xc3, 0x96], 0))).toBe('Ö')
    expect(await owner(files => put(without(files), [0xd6], 0))).toBe('Ö')
    expect(
      await owner(files => {
        files['data/parcels.cpg'] = new TextEncoder().encode('ISO-8859-1')
        put(files, [0xd6], 0x02)
      }),
    ).toBe('Ö')
  })

  it('rejects a shape that is not finite by its row and keeps the rest', async () => {
    const broken = repacked(PARCELS, files =>
      edit(files, '.shp', (_, view) => view.setFloat64(100 + 8 + 44 + 8, Number.NaN, true)),
    )
    const { layers, rejected } = await readFile('x.zip', broken)
    expect(rejected).toMatchObject([{ file: 'x.zip', layer: 'parcels', row: 1, field: 'geometry' }])
    expect(values(layers[0]!, 'PIN')).toEqual(['008', '009'])
  })

  it('names the layers of an archive of several and picks one', async () => {
    const both = zipSync({ ...unzipSync(PARCELS), ...unzipSync(CREEKS) })
    expect((await readFile('x.zip', both)).layers.map(layer => layer.name).sort()).toEqual(['creeks', 'parcels'])
    expect((await readFile('x.zip', both, { layer: 'creeks' })).layers.map(layer => layer.name)).toEqual(['creeks'])
    await expect(readFile('x.zip', both, { layer: 'roads' })).rejects.toThrow(/Layers in it: .*creeks/)
  })
})

it('reads 100,000 parcels in a few seconds', async () => {
  const count = 100_000
  const files = parcelFiles(count)
  files['many.prj'] = unzipSync(PARCELS)['data/parcels.prj']!
  // The table is packed, the shapes are stored: both ways into an archive.
  const bytes = zipSync({ ...files, 'many.shp': [files['many.shp']!, { level: 0 }] }, { level: 1 })
  const start = performance.now()
  const { layers } = await readFile('many.zip', bytes)
  const seconds = (performance.now() - start) / 1000
  const layer = layers[0]!
  expect(layer).toMatchObject({ featureCount: count, kind: 'polygon', crs: 'EPSG:32623' })
  expect([columnValue(layer.columns[0]!, 99_999), columnValue(layer.columns[1]!, 70)]).toEqual(['P99999', 10])
  console.info(`100,000 parcels, ${(bytes.length / 1e6).toFixed(1)} MB: ${seconds.toFixed(2)} s`)
  // A few seconds on a free machine; the rest is room for one that is not.
  expect(seconds).toBeLessThan(15)
})

/** The .shp, .shx and .dbf of so many five-cornered parcels with two fields, by the published layouts. */
function parcelFiles(count: number): Files {
  const [points, content] = [6, 44 + 4 + 6 * 16]
  const shp = new Uint8Array(100 + count * (8 + content))
  const shx = new Uint8Array(100 + count * 8)
  for (const file of [shp, shx]) {
    const head = new DataView(file.buffer)
    head.setInt32(0, 9994)
    head.setInt32(24, file.length / 2)
    head.setInt32(28, 1000, true)
    head.setInt32(32, 5, true)
  }
  const [shape, index] = [new DataView(shp.buffer), new DataView(shx.buffer)]
  const width = 1 + 12 + 12
  const dbf = new Uint8Array(32 + 64 + 1 + count * width).fill(0x20, 97)
  const table = new DataView(dbf.buffer)
  dbf[0] = 3
  table.setUint32(4, count, true)
  table.setUint16(8, 97, true)
  table.setUint16(10, width, true)
  dbf.set(new TextEncoder().encode('PIN'), 32)
  dbf.set(new TextEncoder().encode('ACRES'), 64)
  dbf.set([0x43, 0, 0, 0, 0, 12], 32 + 11)
  dbf.set([0x4e, 0, 0, 0, 0, 12, 3], 64 + 11)
  dbf[96] = 0x0d
  for (let i = 0; i < count; i++) {
    const at = 100 + i * (8 + content)
    shape.setInt32(at, i + 1)
    shape.setInt32(at + 4, content / 2)
    shape.setInt32(at + 8, 5, true)
    shape.setInt32(at + 8 + 36, 1, true)
    shape.setInt32(at + 8 + 40, points, true)
    const [x, y] = [430_000 + (i % 400) * 50, 3_950_000 + Math.floor(i / 400) * 50]
    const corners = [x, y, x, y + 45, x + 20, y + 46, x + 45, y + 45, x + 45, y, x, y]
    corners.forEach((value, n) => void shape.setFloat64(at + 56 + 8 * n, value, true))
    index.setInt32(100 + 8 * i, at / 2)
    index.setInt32(104 + 8 * i, content / 2)
    dbf.set(new TextEncoder().encode(`P${i}`.padEnd(12) + (i / 7).toFixed(3).padStart(12)), 97 + i * width + 1)
  }
  return { 'many.shp': shp, 'many.shx': shx, 'many.dbf': dbf }
}

it('never hangs or breaks on 200 mutants: it reads or refuses with a reason', async () => {
  const random = createRandom(7)
  const start = performance.now()
  for (let mutant = 0; mutant < 200; mutant++) {
    const bytes =
      mutant % 2 === 0
        ? mutate(PARCELS, random)
        : repacked(PARCELS, files => {
            // The .prj has tests of its own, and is slow to match.
            delete files['data/parcels.prj']
            const names = Object.keys(files).filter(name => /\.(shp|dbf|shx)$/.test(name))
            const name = names[random.integer(names.length)]!
            files[name] = mutate(files[name]!, random)
          })
    const error = await readFile('m.zip', bytes).then(
      () => undefined,
      (thrown: Error) => thrown,
    )
    expect(error?.name ?? 'InputError').toBe('InputError')
  }
  expect(performance.now() - start).toBeLessThan(30_000)
})

function mutate(bytes: Uint8Array, random: ReturnType<typeof createRandom>): Uint8Array {
  const copy = bytes.slice(0, random.next() < 0.2 ? random.integer(bytes.length) + 1 : bytes.length)
  for (let n = 1 + random.integer(6); n > 0; n--) copy[random.integer(copy.length)] = random.integer(256)
  return copy
}
