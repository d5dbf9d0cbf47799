import { describe, expect, it } from 'vitest'
import { makeReportIdsUnique, readFile, readReports } from '../../core/formats/index.ts'
import { DAUBENMIRE, type LayerSource } from '../../core/model/index.ts'

const source = (fields: Record<string, string> = {}, more: Partial<LayerSource> = {}): LayerSource => ({
  path: 'r.csv',
  fields,
  dateFormat: 'auto',
  ...more,
})
const read = async (text: string, from = source()) => {
  const bytes = new TextEncoder().encode(text)
  const reading = await readFile('r.csv', bytes, from.crs === undefined ? {} : { crs: from.crs })
  return readReports(reading.layers[0]!, from, { file: 'r.csv', coverTable: DAUBENMIRE })
}
const HEAD = 'id,date,lon,lat,found'

describe('reports from a table', () => {
  it('reads every field of the contract under its own name', async () => {
    const { reports, rejected, warnings } = await read(
      `${HEAD},cover,size_m2,evidence,accuracy_m,recorder,training,confirmed_by,status,accuracy_level,extent_m,consent,notes\n` +
        '0042,2024-07-01,-45.8,35.7,yes,3,40,Propagule,8,plot 7,trained,desk,accepted,0.95,25,parcel,by the weir\n',
    )
    expect([rejected, warnings]).toEqual([[], []])
    expect(reports).toEqual([
      {
        id: '0042',
        file: 'r.csv',
        row: 2,
        date: '2024-07-01',
        longitude: -45.8,
        latitude: 35.7,
        isFound: true,
        evidence: 'propagule',
        coverClass: '3',
        // Daubenmire (1959): class 3 is 25-50 %, midpoint 37.5 %.
        cover: 0.375,
        size: 40,
        accuracy: 8,
        accuracyLevel: 0.95,
        extent: 25,
        recorder: 'plot 7',
        training: 'trained',
        confirmedBy: 'desk',
        status: 'accepted',
        consent: 'parcel',
        notes: 'by the weir',
      },
    ])
  })

  it('fills in what is blank', async () => {
    const { reports } = await read(`${HEAD}\n1,2024-07-01,-45.8,35.7,0\n`)
    expect(reports[0]).toMatchObject({
      isFound: false,
      evidence: 'leaf',
      training: 'new',
      status: 'unchecked',
      consent: 'exact',
      cover: null,
      size: null,
      accuracy: null,
      accuracyLevel: null,
      extent: null,
    })
  })

  it('maps columns by the source, and lists those that exist when one is missing', async () => {
    const text = 'No,Day,X_pos,Y_pos,Seen\n7,5/13/2024,-45.8,35.7,Present\n'
    const fields = { id: 'No', date: 'Day', lon: 'X_pos', lat: 'Y_pos', found: 'Seen' }
    expect((await read(text, source(fields))).reports[0]).toMatchObject({
      id: '7',
      date: '2024-05-13',
      longitude: -45.8,
      isFound: true,
    })
    await expect(read(text, source({ ...fields, cover: 'Cov' }))).rejects.toThrow(
      /no column "Cov".*No, Day, X_pos, Y_pos, Seen/,
    )
    await expect(read('id,lon,lat\n1,2,3\n')).rejects.toThrow(/no column for the field date/)
  })

  it.each([
    ['yes', true],
    ['Y', true],
    ['TRUE', true],
    ['1', true],
    ['Present', true],
    ['detected', true],
    ['no', false],
    ['False', false],
    ['0', false],
    ['absent', false],
    ['notDetected', false],
    ['not found', false],
  ])('found "%s" is %s', async (text, expected) => {
    // A second row of another kind keeps the column text.
    expect(
      (await read(`${HEAD}\n1,2024-07-01,-45.8,35.7,${text}\n2,2024-07-01,-45.8,35.7,yes\n`)).reports[0]!.isFound,
    ).toBe(expected)
  })

  it('rejects rows without a usable date, place or found, with file, row, field, value, reason and remedy', async () => {
    const { reports, rejected } = await read(
      `${HEAD}\n1,2024-02-30,-45.8,35.7,yes\n2,,-45.8,35.7,yes\n3,2024-07-01,,,yes\n4,2024-07-01,-45.8,35.7,perhaps\n5,2024-07-01,-45.8,35.7,\n6,2024-07-01,-45.8,35.7,yes\n`,
    )
    expect(reports.map(report => report.id)).toEqual(['6'])
    expect(rejected.map(problem => [problem.row, problem.field, problem.value])).toEqual([
      [2, 'date', '2024-02-30'],
      [3, 'date', undefined],
      [4, 'lon', undefined],
      [5, 'found', 'perhaps'],
      [6, 'found', undefined],
    ])
    for (const problem of rejected)
      expect(problem).toMatchObject({ file: 'r.csv', reason: expect.any(String), remedy: expect.any(String) })
  })

  it('takes bad optional values as absent, with a warning each', async () => {
    const { reports, rejected, warnings } = await read(
      `${HEAD},size_m2,accuracy_m,cover,evidence,consent\n1,2024-07-01,-45.8,35.7,yes,-4,0,thick,flower,ask me\n2,2024-07-01,-45.8,35.7,no,0,12 m,25-50 %,,\n`,
    )
    expect(rejected).toEqual([])
    // What cannot be read may have asked for privacy: withheld stands in.
    expect(reports[0]).toMatchObject({
      size: null,
      accuracy: null,
      cover: null,
      coverClass: null,
      evidence: 'leaf',
      consent: 'withheld',
    })
    expect(reports[1]).toMatchObject({ size: 0, accuracy: 12, cover: 0.375, consent: 'exact' })
    expect(warnings.map(warning => [warning.row, warning.field]).sort()).toEqual([
      [2, 'accuracy_m'],
      [2, 'consent'],
      [2, 'cover'],
      [2, 'evidence'],
      [2, 'size_m2'],
    ])
  })

  it('asks for the order of dates where both fit and differ', async () => {
    const text = `${HEAD}\n1,5/6/2024,-45.8,35.7,yes\n`
    await expect(read(text)).rejects.toThrow(/field date.*date_format/)
    expect((await read(text, source({}, { dateFormat: 'dmy' }))).reports[0]!.date).toBe('2024-06-05')
    expect((await read(text, source({}, { dateFormat: 'mdy' }))).reports[0]!.date).toBe('2024-05-06')
  })

  it('makes blank and repeated ids unique, within a file and across files', async () => {
    const { reports, warnings } = await read(
      `${HEAD}\nA,2024-07-01,-45.8,35.7,yes\nA,2024-07-02,-45.8,35.7,yes\n,2024-07-03,-45.8,35.7,yes\n`,
    )
    expect(reports.map(report => report.id)).toEqual(['A', 'A (r.csv#3)', 'r.csv#4'])
    expect(warnings.map(warning => [warning.code, warning.reason.slice(0, 1)])).toEqual([
      ['id-blank', '1'],
      ['id-repeated', '1'],
    ])
    const both = makeReportIdsUnique([...reports, ...reports.map(report => ({ ...report, file: 's.csv' }))])
    expect(new Set(both.reports.map(report => report.id)).size).toBe(6)
  })

  it('reads places in a projected system, from columns and from points', async () => {
    // cs2cs EPSG:32623 EPSG:4326 (PROJ 9.1.1): 430000 3950000 is 35.6914286621558 -45.7736661388211.
    const fields = { lon: 'easting', lat: 'northing' }
    const named = await read(
      'id,date,easting,northing,found\n1,2024-07-01,430000,3950000,yes\n',
      source(fields, { crs: 'EPSG:32623' }),
    )
    expect(named.reports[0]!.longitude).toBeCloseTo(-45.7736661388211, 9)
    expect(named.reports[0]!.latitude).toBeCloseTo(35.6914286621558, 9)
    const odd = await read(
      'id,date,E,N,found\n1,2024-07-01,430000,3950000,yes\n',
      source({ lon: 'E', lat: 'N' }, { crs: 'EPSG:32623' }),
    )
    expect(odd.reports[0]!.longitude).toBeCloseTo(-45.7736661388211, 9)
  })

  it('reads points of GeoJSON', async () => {
    const text =
      '{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"id":5,"date":"2024-07-01","found":true},"geometry":{"type":"Point","coordinates":[-45.8,35.7]}}]}'
    expect((await read(text)).reports[0]).toMatchObject({
      id: '5',
      longitude: -45.8,
      latitude: 35.7,
      isFound: true,
      row: 1,
    })
  })
})
