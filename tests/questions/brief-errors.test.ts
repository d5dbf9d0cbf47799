import { describe, expect, it } from 'vitest'
import { gatherBrief } from '../../core/desk/gather.ts'
import { createTask, describeProblem, InputError, type Problem } from '../../core/model/index.ts'
import { parseBrief } from '../../core/project/index.ts'

const FILES: Readonly<Record<string, string>> = {
  'r.csv': 'id,date,lon,lat,found\n1,2024-06-01,-45.8,35.7,yes\n',
  'orders.csv': 'id,date,lon,lat,found\n1,2024-06-01,-45.8,35.7,yes\n2,01.06.2024,-45.8,35.7,yes\n',
  'parcels.geojson': JSON.stringify({
    type: 'FeatureCollection',
    features: [
      {
        type: 'Feature',
        properties: { PIN: 'a', OWNER: 'b' },
        geometry: {
          type: 'Polygon',
          coordinates: [
            [
              [-46, 35],
              [-45, 35],
              [-45, 36],
              [-46, 35],
            ],
          ],
        },
      },
    ],
  }),
}
const files = {
  read: async (path: string) => {
    const text = FILES[path]
    if (text !== undefined) return new TextEncoder().encode(text)
    throw new InputError({ code: 'file-unreadable', file: path, reason: 'There is no such file' })
  },
}
const REPORTS = { reports: [{ path: 'r.csv' }] }
const brief = (rest: object, layers: object = REPORTS) => JSON.stringify({ title: 'a', layers, ...rest })

/** What is wrong with a brief and the files that it names. */
async function problemOf(text: string): Promise<Problem> {
  try {
    await gatherBrief(parseBrief(text, 'brief.json'), files, createTask())
  } catch (error) {
    if (error instanceof InputError) return error.problem
    throw error
  }
  throw new Error('nothing was wrong')
}

describe('a bad brief is told with its path, what was found and what to do', () => {
  it.each([
    ['layers.reports.0.crs', brief({}, { reports: [{ path: 'r.csv', crs: 'EPSG:999999' }] }), 'EPSG:4326'],
    ['layers.reports.0.crs', brief({}, { reports: [{ path: 'r.csv', crs: 'EPSG:32623' }] }), 'EPSG:4326'],
    [
      'layers.reports.0.fields.longitude',
      brief({}, { reports: [{ path: 'r.csv', fields: { longitude: 'x' } }] }),
      'lon,',
    ],
    ['layers.reports.0.fields.lon', brief({}, { reports: [{ path: 'r.csv', fields: { lon: 'x' } }] }), 'id, date, lon'],
    [
      'layers.parcels.fields.id',
      brief({}, { ...REPORTS, parcels: { path: 'parcels.geojson', fields: { id: 'NO' } } }),
      'PIN, OWNER',
    ],
    [
      'layers.parcels.fields.owner',
      brief({}, { ...REPORTS, parcels: { path: 'parcels.geojson', fields: { owner: 'NO' } } }),
      'PIN, OWNER',
    ],
    ['layers.flood.path', brief({}, { ...REPORTS, flood: { path: 'no.geojson' } }), 'no.geojson'],
    [
      'sheets.1.id',
      brief({
        sheets: [
          { id: 's', kind: 'season-review' },
          { id: 'S', kind: 'season-review' },
        ],
      }),
      'sheets.0',
    ],
    ['advance.origin', brief({ advance: { origin: 'moon' } }), '"first-patch", "boundary"'],
    ['outline.radus_m', brief({ outline: { radus_m: 5 } }), 'README'],
  ])('%s', async (path, text, told) => {
    const problem = await problemOf(text)
    expect(problem.field).toBe(path)
    expect(describeProblem(problem)).toContain(told)
  })

  it('a brief that is not UTF-8', async () => {
    const wide = new TextDecoder().decode(Buffer.from(`\ufeff${brief({})}`, 'utf16le'))
    expect((await problemOf(wide)).reason).toContain('UTF-16')
  })

  it('dates whose order is open are told with file, field and first row', async () => {
    const text = JSON.stringify({ title: 'a', layers: { reports: [{ path: 'orders.csv' }] } })
    const parsed = parseBrief(text, 'brief.json')
    const error = await gatherBrief(parsed, files, createTask()).catch((thrown: unknown) => thrown)
    expect((error as InputError).problem).toMatchObject({
      file: 'orders.csv',
      row: 3,
      field: 'date',
      value: '01.06.2024',
    })
  })
})

describe('reports that make a patch', () => {
  const minima = (outline: object) => {
    const { minReports, minReportsUnconfirmed } = parseBrief(brief({ outline }), 'brief.json').outline
    return [minReports, minReportsUnconfirmed]
  }
  it('one confirmed or two unconfirmed where nothing is said; a brief that says one number means both', () => {
    expect(minima({})).toEqual([1, 2])
    expect(minima({ min_reports: 1 })).toEqual([1, 1])
    expect(minima({ min_reports: 3 })).toEqual([3, 3])
    expect(minima({ min_reports: 1, min_reports_unconfirmed: 2 })).toEqual([1, 2])
    expect(minima({ min_reports_unconfirmed: 4 })).toEqual([1, 4])
  })
})
