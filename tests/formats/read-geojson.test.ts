import { isGeometryObject } from 'geojson-validation'
import { describe, expect, it } from 'vitest'
import { describeReading, readFile, writeGeoJson } from '../../core/formats/index.ts'
import { columnValue, findColumn, multiPolygonOf } from '../../core/geo/index.ts'
import { createRandom } from '../../core/stats/index.ts'

const bytesOf = (value: unknown): Uint8Array =>
  new TextEncoder().encode(typeof value === 'string' ? value : JSON.stringify(value))
const read = (value: unknown) => readFile('a.geojson', bytesOf(value))
const feature = (geometry: unknown, properties: unknown = {}) => ({ type: 'Feature', properties, geometry })
const collection = (...features: unknown[]) => ({ type: 'FeatureCollection', features })
const codes = (list: readonly { code: string }[]) => list.map(entry => entry.code)

const SQUARE = [
  [-45.8, 35.7],
  [-45.7, 35.7],
  [-45.7, 35.8],
  [-45.8, 35.8],
  [-45.8, 35.7],
]

describe('GeoJSON', () => {
  it('reads the collection of RFC 7946, section 1.5', async () => {
    // RFC 7946, section 1.5: the document's own example.
    const { layers, rejected, warnings } = await read({
      type: 'FeatureCollection',
      features: [
        feature({ type: 'Point', coordinates: [102.0, 0.5] }, { prop0: 'value0' }),
        feature(
          {
            type: 'LineString',
            coordinates: [
              [102, 0],
              [103, 1],
              [104, 0],
              [105, 1],
            ],
          },
          { prop0: 'value0', prop1: 0.0 },
        ),
        feature(
          {
            type: 'Polygon',
            coordinates: [
              [
                [100, 0],
                [101, 0],
                [101, 1],
                [100, 1],
                [100, 0],
              ],
            ],
          },
          { prop0: 'value0', prop1: { this: 'that' } },
        ),
      ],
    })
    expect([rejected, warnings]).toEqual([[], []])
    const layer = layers[0]!
    expect(layer).toMatchObject({ name: 'a', kind: 'mixed', featureCount: 3, crs: 'EPSG:4326', crsSource: 'format' })
    expect(columnValue(findColumn(layer, 'prop1')!, 2)).toBe('{"this":"that"}')
    const described = describeReading({ format: 'geojson', layers, rejected, warnings, isDamaged: false }).layers[0]!
    expect(described).toMatchObject({ features: 3, parts: 3, vertices: 10, bounds_wgs84: [100, 0, 105, 1] })
    // geod -I +ellps=WGS84 and Planimeter agree with measureLayer elsewhere; here only that lines and areas are kept apart.
    expect(described.length_m!).toBeGreaterThan(400_000)
    expect(described.area_m2!).toBeGreaterThan(1.2e10)
  })

  it('says line and column of broken JSON', async () => {
    await expect(read('{"type": "FeatureCollection",\n  "features": [}\n')).rejects.toThrow(/line 2, column 16/)
    await expect(read('{"type": "FeatureCollection", "features": [')).rejects.toThrow(/line 1, column 44/)
  })

  it('refuses JSON that is no GeoJSON', async () => {
    await expect(read({ a: 1 })).rejects.toThrow(/without a type/)
    await expect(read('[1, 2]')).rejects.toThrow(/no GeoJSON/)
    await expect(read({ type: 'Topology' })).rejects.toThrow(/Topology/)
  })

  it('rejects what the library passes: non-finite, out of range, short rings, by row and reason', async () => {
    const { layers, rejected } = await read(
      collection(
        feature({ type: 'Point', coordinates: [10, 95] }),
        feature({ type: 'Point', coordinates: [181, 0] }),
        feature({ type: 'Point', coordinates: ['1', 2] }),
        feature({ type: 'Point', coordinates: [1] }),
        feature({ type: 'LineString', coordinates: [[1, 1]] }),
        feature({
          type: 'Polygon',
          coordinates: [
            [
              [0, 0],
              [1, 1],
              [0, 0],
            ],
          ],
        }),
        feature({ type: 'Circle', coordinates: [1, 1] }),
        feature({ type: 'Point', coordinates: [null, null] }),
        { type: 'Nothing' },
        feature({ type: 'Point', coordinates: [10, 45] }),
      ),
    )
    expect(layers[0]!.featureCount).toBe(1)
    expect([...layers[0]!.rows]).toEqual([10])
    expect(rejected.map(problem => problem.row)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9])
    expect(rejected[0]!.reason).toMatch(/latitude 95 is beyond/i)
    expect(rejected[1]!.reason).toMatch(/longitude 181 is beyond/i)
    expect(rejected.every(problem => problem.file === 'a.geojson' && problem.field !== undefined)).toBe(true)
    // The library alone lets these two pass: the check of it that makes our own rules needed.
    expect(isGeometryObject({ type: 'Point', coordinates: [10, 95] }, true)).toEqual([])
    expect(isGeometryObject({ type: 'Point', coordinates: [Number.NaN, 1] }, true)).toEqual([])
  })

  it('a number too large for JSON is not finite', async () => {
    const { rejected } = await read(
      '{"type":"Feature","properties":null,"geometry":{"type":"Point","coordinates":[1e999,0]}}',
    )
    expect(rejected).toHaveLength(1)
  })

  it('closes rings and turns them, counted; the area stays', async () => {
    const open = SQUARE.slice(0, -1)
    const { layers, warnings } = await read(
      collection(
        feature({ type: 'Polygon', coordinates: [open] }),
        feature({ type: 'Polygon', coordinates: [[...SQUARE].reverse()] }),
        feature({ type: 'Polygon', coordinates: [SQUARE] }),
      ),
    )
    expect(codes(warnings)).toEqual(['ring-closed', 'ring-rewound'])
    expect(warnings[0]!.reason).toMatch(/^1 /)
    const shapes = [0, 1, 2].map(i => multiPolygonOf(layers[0]!, i)[0]![0]!)
    expect([...shapes[0]!]).toEqual(SQUARE.flat())
    expect([...shapes[2]!]).toEqual(SQUARE.flat())
    expect([...shapes[1]!].slice(0, 2)).toEqual([-45.8, 35.7])
  })

  it('keeps empty and null geometries as features without one', async () => {
    const { layers, warnings } = await read(
      collection(
        feature(null),
        feature({ type: 'Polygon', coordinates: [] }),
        feature({ type: 'MultiPoint', coordinates: [] }),
      ),
    )
    expect(layers[0]).toMatchObject({ featureCount: 3, kind: 'none' })
    expect(codes(warnings)).toEqual(['geometry-empty'])
  })

  it('accepts collections of one kind and rejects mixed ones with the reason', async () => {
    const point = { type: 'Point', coordinates: [1, 2] }
    const line = {
      type: 'LineString',
      coordinates: [
        [1, 2],
        [3, 4],
      ],
    }
    const { layers, rejected } = await read(
      collection(
        feature({ type: 'GeometryCollection', geometries: [point, point] }),
        feature({ type: 'GeometryCollection', geometries: [point, line] }),
      ),
    )
    expect(layers[0]).toMatchObject({ featureCount: 1, kind: 'point' })
    expect(rejected[0]!.reason).toMatch(/mixes point and line/i)
  })

  it('follows a crs member of older files, with a warning', async () => {
    const named = (name: string) => ({
      ...collection(feature({ type: 'Point', coordinates: [430000, 3950000] })),
      crs: { type: 'name', properties: { name } },
    })
    const utm = await read(named('urn:ogc:def:crs:EPSG::32623'))
    expect(utm.layers[0]).toMatchObject({ crs: 'EPSG:32623', crsSource: 'file' })
    expect(codes(utm.warnings)).toContain('crs-member')
    const wgs84 = await read({
      ...collection(feature({ type: 'Point', coordinates: [1, 2] })),
      crs: { type: 'name', properties: { name: 'urn:ogc:def:crs:OGC:1.3:CRS84' } },
    })
    expect(wgs84.layers[0]!.crs).toBe('EPSG:4326')
    expect(wgs84.warnings).toEqual([])
  })

  it('survives property names that objects inherit', async () => {
    const text =
      '{"type":"FeatureCollection","features":[{"type":"Feature","geometry":null,"properties":{"__proto__":"a","constructor":"b","toString":3}},{"type":"Feature","geometry":null,"properties":{"x":1}}]}'
    const layer = (await read(text)).layers[0]!
    expect(layer.columns.map(column => column.name)).toEqual(['__proto__', 'constructor', 'toString', 'x'])
    expect(columnValue(findColumn(layer, '__proto__')!, 0)).toBe('a')
    expect(columnValue(findColumn(layer, 'constructor')!, 1)).toBeNull()
    const back = await readFile('b.geojson', writeGeoJson(layer))
    expect(back.layers[0]!.columns.map(column => column.name)).toEqual(['__proto__', 'constructor', 'toString', 'x'])
  })

  it('nested to any depth it refuses and does not overflow', async () => {
    const deep = `{"type":"Feature","properties":null,"geometry":{"type":"Point","coordinates":${'['.repeat(20_000)}${']'.repeat(20_000)}}}`
    const { rejected } = await read(deep)
    expect(rejected[0]!.reason).toMatch(/nested/i)
    const collections = `{"type":"Feature","properties":null,"geometry":${'{"type":"GeometryCollection","geometries":['.repeat(5000)}${']}'.repeat(5000)}}`
    expect((await read(collections)).rejected[0]!.reason).toMatch(/nested/i)
  })

  it('bounds across the antimeridian have west > east', async () => {
    const described = describeReading(
      await read(
        collection(
          feature({ type: 'Point', coordinates: [179, -17] }),
          feature({ type: 'Point', coordinates: [-179, -16] }),
        ),
      ),
    )
    // RFC 7946, section 5.2: Fiji's box runs from 177 to -178.
    expect(described.layers[0]!.bounds_wgs84).toEqual([179, -17, -179, -16])
    const world = describeReading(
      await read(
        feature({
          type: 'LineString',
          coordinates: [
            [-180, 0],
            [-60, 0],
            [60, 0],
            [180, 0],
          ],
        }),
      ),
    )
    expect(world.layers[0]!.bounds_wgs84).toEqual([-180, 0, 180, 0])
  })

  it('reads UTF-8 with a mark, and names the layer by its name member', async () => {
    const reading = await readFile(
      'f.json',
      bytesOf(`\ufeff${JSON.stringify({ ...collection(feature(null, { a: 'ü' })), name: 'creeks' })}`),
    )
    expect(reading.layers[0]!.name).toBe('creeks')
    expect(columnValue(reading.layers[0]!.columns[0]!, 0)).toBe('ü')
  })

  it('never hangs or breaks on 200 mutants', async () => {
    const random = createRandom(11)
    const source = bytesOf(
      collection(
        feature({ type: 'Polygon', coordinates: [SQUARE] }, { a: 1, b: 'x', d: '2024-01-01' }),
        feature(
          {
            type: 'MultiLineString',
            coordinates: [
              [
                [1, 2, 3],
                [3, 4],
              ],
              [
                [5, 6],
                [7, 8],
              ],
            ],
          },
          { a: null },
        ),
      ),
    )
    for (let mutant = 0; mutant < 200; mutant++) {
      const copy = source.slice(0, random.next() < 0.2 ? random.integer(source.length) + 1 : source.length)
      const printable = mutant % 2 === 0
      for (let n = 1 + random.integer(4); n > 0; n--) {
        copy[random.integer(copy.length)] = printable ? 32 + random.integer(95) : random.integer(256)
      }
      const error = await readFile('m.geojson', copy).then(
        () => undefined,
        (thrown: Error) => thrown,
      )
      expect(error?.name ?? 'InputError').toBe('InputError')
    }
  })
})

describe('writing GeoJSON', () => {
  it('winds outer rings counter-clockwise, writes full precision, and reads back the same', async () => {
    const clockwise = Float64Array.from([...SQUARE].reverse().flat())
    const text = new TextDecoder().decode(
      writeGeoJson({
        features: [
          {
            geometry: { kind: 'polygon', shape: [[clockwise]] },
            properties: { a: 1 / 3, ids: ['x'], bad: Number.NaN },
          },
          { geometry: { kind: 'point', points: Float64Array.of(-45.123456789, 35.000000001) }, properties: {} },
          { geometry: null, properties: {} },
        ],
      }),
    )
    const parsed = JSON.parse(text)
    expect(parsed.features[0].geometry.coordinates[0]).toEqual(SQUARE)
    expect(parsed.features[0].properties).toEqual({ a: 1 / 3, ids: ['x'], bad: null })
    expect(parsed.features[1].geometry.coordinates).toEqual([-45.123456789, 35.000000001])
    expect(parsed.features[2].geometry).toBeNull()
    expect((await readFile('b.geojson', bytesOf(text))).warnings).toEqual([])
  })

  it('gives the same bytes for a layer read from them', async () => {
    const { layers } = await read(
      collection(
        feature({ type: 'MultiPolygon', coordinates: [[SQUARE], [SQUARE.map(([x, y]) => [x! + 1, y])]] }, { a: 'b' }),
      ),
    )
    const once = writeGeoJson(layers[0]!)
    const again = writeGeoJson((await readFile('b.geojson', once)).layers[0]!)
    expect(again).toEqual(once)
  })
})
