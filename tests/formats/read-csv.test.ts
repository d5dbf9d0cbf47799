import { describe, expect, it } from 'vitest'
import {
  type CsvColumn,
  decideDateFormat,
  describeReading,
  findDateFormat,
  parseDate,
  readFile,
  writeCsv,
} from '../../core/formats/index.ts'
import { columnValue, findColumn, type Layer } from '../../core/geo/index.ts'
import { createRandom } from '../../core/stats/index.ts'

const utf8 = (text: string) => new TextEncoder().encode(text)
const read = (text: string, name = 'reports.csv', options = {}) => readFile(name, utf8(text), options)
const column = (layer: Layer, name: string) =>
  Array.from({ length: layer.featureCount }, (_, i) => columnValue(findColumn(layer, name)!, i))
const codes = (list: readonly { code: string }[]) => list.map(entry => entry.code)

describe('tables', () => {
  it('reads points from columns that are plainly longitude and latitude', async () => {
    const { format, layers, rejected, warnings } = await read(
      'id,Longitude,Latitude,n\n007,-45.8,35.7,1\n008,-45.7,35.8,\n',
    )
    expect([format, rejected, warnings]).toEqual(['csv', [], []])
    const layer = layers[0]!
    expect(layer).toMatchObject({
      name: 'reports',
      kind: 'point',
      crs: 'EPSG:4326',
      crsSource: 'columns',
      featureCount: 2,
      encoding: 'UTF-8',
    })
    expect([...layer.geometry.coords]).toEqual([-45.8, 35.7, -45.7, 35.8])
    expect([...layer.rows]).toEqual([2, 3])
    expect(column(layer, 'id')).toEqual(['007', '008'])
    expect(column(layer, 'n')).toEqual([1, null])
    expect(describeReading({ format, layers, rejected, warnings, isDamaged: false }).layers[0]).toMatchObject({
      features: 2,
      bounds_wgs84: [-45.8, 35.7, -45.7, 35.8],
      length_m: 0,
      area_m2: 0,
      fields: [
        { name: 'id', type: 'text', filled: 2 },
        { name: 'Longitude', type: 'number', filled: 2 },
        { name: 'Latitude', type: 'number', filled: 2 },
        { name: 'n', type: 'integer', filled: 1 },
      ],
    })
  })

  it.each([
    ['lon,lat'],
    ['LNG,LAT'],
    ['long,lat'],
    ['decimalLongitude,decimalLatitude'],
    ['decimal_longitude,decimal_latitude'],
    ['x,y'],
    ['Longitude (deg),Latitude (deg)'],
  ])('knows %s', async header => {
    expect((await read(`${header}\n-45.8,35.7\n`)).layers[0]!.kind).toBe('point')
  })

  it('does not take metres for degrees, unless their system is named', async () => {
    const text = 'x,y\n430000,3950000\n430010,3950000\n'
    const plain = await read(text)
    expect(plain.layers[0]).toMatchObject({ kind: 'none', crs: null, featureCount: 2 })
    expect(codes(plain.warnings)).toEqual(['csv-not-degrees'])
    const named = await read(text, 'a.csv', { crs: 'EPSG:32623' })
    expect(named.layers[0]).toMatchObject({ kind: 'point', crs: 'EPSG:32623', crsSource: 'brief' })
  })

  it('is a layer of kind none without coordinates', async () => {
    const { layers, rejected } = await read('a,b\n1,2\n')
    expect(layers[0]).toMatchObject({ kind: 'none', featureCount: 1, crs: null, crsSource: 'none' })
    expect(rejected).toEqual([])
  })

  it.each([
    ['semicolons and decimal commas', 'id;lon;lat\nA;-45,8;35,7\n'],
    ['tabs', 'id\tlon\tlat\nA\t-45.8\t35.7\n'],
    ['a byte order mark', '\ufeffid,lon,lat\nA,-45.8,35.7\n'],
    ['CR LF and quotes', '"id","lon","lat"\r\n"A","-45.8","35.7"\r\n'],
    ['old Mac line ends', 'id,lon,lat\rA,-45.8,35.7\r'],
  ])('reads %s', async (_, text) => {
    const layer = (await read(text)).layers[0]!
    expect([...layer.geometry.coords]).toEqual([-45.8, 35.7])
    expect(layer.columns[0]!.name).toBe('id')
    expect(column(layer, 'id')).toEqual(['A'])
  })

  it('keeps separators, quotes and line ends inside quoted cells', async () => {
    const layer = (await read('id,notes\n1,"a, ""b""\nc"\n2,plain\n')).layers[0]!
    expect(column(layer, 'notes')).toEqual(['a, "b"\nc', 'plain'])
  })

  it('decodes UTF-16 and Windows-1252', async () => {
    const text = 'id,name\n1,Größe\n'
    const le = new Uint8Array(2 + text.length * 2)
    le.set([0xff, 0xfe])
    for (let i = 0; i < text.length; i++) new DataView(le.buffer).setUint16(2 + 2 * i, text.charCodeAt(i), true)
    for (const bytes of [le, le.subarray(2)]) {
      const { layers } = await readFile('a.csv', bytes)
      expect(column(layers[0]!, 'name')).toEqual(['Größe'])
      expect(layers[0]!.encoding).toBe('UTF-16LE')
    }
    const latin = Uint8Array.from(text, letter => letter.charCodeAt(0))
    const reading = await readFile('a.csv', latin)
    expect(column(reading.layers[0]!, 'name')).toEqual(['Größe'])
    expect(codes(reading.warnings)).toEqual(['encoding-assumed'])
  })

  it('rejects ragged rows and unreadable places by row, field, value, reason and remedy', async () => {
    const { layers, rejected } = await read(
      'id,lon,lat\na,-45.8,35.7\nb,-45.8\nc,-45.8,35.7,extra\nd,abc,35.7\ne,-45.8,95\nf,,35.7\n\ng,,\nh,-45.8,35.7,\ni,NaN,1\n',
    )
    expect(column(layers[0]!, 'id')).toEqual(['a', 'g', 'h'])
    expect([...layers[0]!.rows]).toEqual([2, 9, 10])
    expect(rejected.map(problem => [problem.row, problem.field])).toEqual([
      [3, undefined],
      [4, undefined],
      [5, 'lon'],
      [6, 'lat'],
      [7, 'lon'],
      [11, 'lon'],
    ])
    expect(rejected[2]).toMatchObject({ file: 'reports.csv', value: 'abc' })
    expect(rejected.every(problem => problem.reason !== '' && problem.remedy !== undefined)).toBe(true)
  })

  it('types columns without losing anything', async () => {
    const layer = (
      await read(
        'zip,num,neg,big,exp,flag,iso,us,mixed,code\n02134,1.5,-2,12345678901234567890,1.5e-3,true,2024-02-29,5/13/2024,1,12E4\n10001,2,3,1,2,FALSE,2023-01-01,12/1/2024,x,13E4\n',
      )
    ).layers[0]!
    expect(Object.fromEntries(layer.columns.map(entry => [entry.name, entry.type]))).toEqual({
      zip: 'text',
      num: 'number',
      neg: 'integer',
      big: 'text',
      exp: 'number',
      flag: 'boolean',
      iso: 'date',
      us: 'date',
      mixed: 'text',
      code: 'text',
    })
    expect(column(layer, 'us')).toEqual(['2024-05-13', '2024-12-01'])
    expect(column(layer, 'big')).toEqual(['12345678901234567890', '1'])
  })

  it('survives columns named as objects inherit, blank and repeated', async () => {
    const { layers, warnings } = await read('__proto__,constructor,,a,a\n1,2,3,4,5\n')
    expect(layers[0]!.columns.map(entry => entry.name)).toEqual(['__proto__', 'constructor', 'column_3', 'a', 'a_2'])
    expect(column(layers[0]!, '__proto__')).toEqual([1])
    expect(codes(warnings)).toEqual(['csv-column-names'])
  })

  it('says where a quote was never closed', async () => {
    const reading = await read('id,notes\n1,fine\n2,"open\n3,lost\n')
    expect(reading.isDamaged).toBe(true)
    expect(reading.rejected.map(problem => problem.row)).toEqual([3])
    expect(codes(reading.warnings)).toContain('csv-quote-open')
  })

  it('refuses what has no column names', async () => {
    await expect(read('-45.8,35.7\n-45.7,35.8\n')).rejects.toThrow(/numbers, not column names/)
  })
})

describe('what is no table', () => {
  it.each([
    ['an empty file', new Uint8Array(0), /empty/],
    ['blanks', utf8(' \n \n'), /blanks/],
    ['a PDF', utf8('%PDF-1.7\n1 0 obj'), /PDF/],
    ['XML', utf8('<?xml version="1.0"?><a/>'), /XML/],
    ['a bare .shp', Uint8Array.of(0, 0, 0x27, 0x0a, 0, 0), /bare \.shp/],
    ['binary', Uint8Array.of(1, 2, 3, 4, 0, 0, 7, 44), /binary/],
    ['a database', utf8('SQLite format 3\0'), /SQLite/],
  ])('%s is refused by what it is', async (_, bytes, reason) => {
    await expect(readFile('points.csv', bytes)).rejects.toThrow(reason)
  })

  it('text without columns is refused unless its name says table', async () => {
    await expect(read('Dear all', 'letter.doc')).rejects.toThrow(/zipped Shapefile, GeoJSON/)
    expect((await read('id\nA1\n', 'ids.csv')).layers[0]!.featureCount).toBe(1)
  })
})

describe('dates', () => {
  it('reads what is written, whatever the zone', () => {
    expect(parseDate('2024-05-01', 'iso')).toBe('2024-05-01')
    expect(parseDate('2024-05-01T23:30:00-06:00', 'iso')).toBe('2024-05-01')
    expect(parseDate('2024-05-01T00:10:00Z', 'mdy')).toBe('2024-05-01')
    expect(parseDate('5/1/2024 11:45 PM', 'mdy')).toBe('2024-05-01')
    expect(parseDate('1.5.2024', 'dmy')).toBe('2024-05-01')
    expect(parseDate('20240501', 'iso')).toBe('2024-05-01')
    expect(parseDate('1 May 2024', 'mdy')).toBe('2024-05-01')
    expect(parseDate('May 1, 2024', 'dmy')).toBe('2024-05-01')
    expect(parseDate('01-May-24', 'mdy')).toBe('2024-05-01')
    expect(parseDate('5/1/24', 'mdy')).toBe('2024-05-01')
  })

  it('takes nothing for a date that is none', () => {
    // 2023 was no leap year; 1900 neither, 2000 was (Gregorian rule).
    for (const text of ['2023-02-29', '1900-02-29', '2024-13-01', '13/32/2024', 'May', '', '45000', '2024', '5/1']) {
      expect(parseDate(text, 'mdy')).toBeNull()
    }
    expect(parseDate('2000-02-29', 'iso')).toBe('2000-02-29')
    expect(parseDate('5/1/2024', 'iso')).toBeNull()
  })

  it('decides the order from the whole column', () => {
    expect(decideDateFormat(['2024-05-01', null], 'auto')).toBe('iso')
    expect(decideDateFormat(['5/1/2024', '5/13/2024'], 'auto')).toBe('mdy')
    expect(decideDateFormat(['1/5/2024', '13/5/2024'], 'auto')).toBe('dmy')
    expect(decideDateFormat(['2024-05-01', '5/13/2024'], 'auto')).toBe('mdy')
    expect(decideDateFormat(['5/5/2024', '6/6/2024'], 'auto')).toBe('mdy')
    expect(decideDateFormat(['5/1/2024'], 'dmy')).toBe('dmy')
    expect(findDateFormat(['5/1/2024', '6/7/2024'], 'auto')).toBeUndefined()
    expect(findDateFormat(['5/13/2024', '13/5/2024'], 'auto')).toBeUndefined()
    // One slip against twenty proofs does not turn the column.
    expect(decideDateFormat([...Array(20).fill('5/13/2024'), '13/5/2024'], 'auto')).toBe('mdy')
    expect(() => decideDateFormat(['5/1/2024'], 'auto', { file: 'a.csv', field: 'day' })).toThrow(
      /a\.csv, field day.*date_format/,
    )
  })
})

describe('writing tables', () => {
  it('defuses formulas in text and leaves numbers alone', () => {
    const columns: CsvColumn[] = [
      { name: '=name', values: ['=1+1', '+a', '-b', '@c', '\td', '\re', 'plain', 'a "b", c', null] },
      { name: 'value', values: [-1, 0.1, 1e-9, 1e21, Number.NaN, 5, true, undefined, 2] },
    ]
    // OWASP, CSV Injection: cells that begin with = + - @ TAB CR.
    expect(new TextDecoder().decode(writeCsv(columns))).toBe(
      `'=name,value\r\n'=1+1,-1\r\n'+a,0.1\r\n'-b,1e-9\r\n'@c,1e+21\r\n'\td,\r\n"'\re",5\r\nplain,true\r\n"a ""b"", c",\r\n,2\r\n`,
    )
  })

  it('reads back what it wrote', async () => {
    const text = new TextDecoder().decode(
      writeCsv([
        { name: 'a', values: ['x,y', 'line\nend', '007'] },
        { name: 'b', values: [1.5, null, -2] },
      ]),
    )
    const layer = (await read(text)).layers[0]!
    expect(column(layer, 'a')).toEqual(['x,y', 'line\nend', '007'])
    expect(column(layer, 'b')).toEqual([1.5, null, -2])
  })
})

it('never hangs or breaks on 200 mutants', async () => {
  const random = createRandom(3)
  const source = utf8(
    'id,date,lon,lat,notes\r\n1,2024-05-01,-45.8,35.7,"a, ""b"""\r\n2,5/13/2024,-45.81,35.71,\r\n3,,,,x\r\n'.repeat(20),
  )
  const start = performance.now()
  for (let mutant = 0; mutant < 200; mutant++) {
    const copy = source.slice(0, random.next() < 0.2 ? random.integer(source.length) + 1 : source.length)
    for (let n = 1 + random.integer(8); n > 0; n--)
      copy[random.integer(copy.length)] = random.integer(mutant % 2 === 0 ? 128 : 256)
    const error = await readFile('m.csv', copy).then(
      () => undefined,
      (thrown: Error) => thrown,
    )
    expect(error?.name ?? 'InputError').toBe('InputError')
  }
  expect(performance.now() - start).toBeLessThan(10_000)
})
