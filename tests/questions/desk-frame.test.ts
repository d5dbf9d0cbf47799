import { describe, expect, it } from 'vitest'
import { prepareTools } from '../../core/desk/tools.ts'
import { vetReports } from '../../core/desk/vet-reports.ts'
import { InputError, type SquareMetres } from '../../core/model/index.ts'
import { defaultBrief } from '../../core/project/index.ts'
import { at, report } from './vet-fixtures.ts'

const brief = (workingCrs: string) => ({ ...defaultBrief({ reports: [], reference: [] }), workingCrs })
const problemOf = async (work: Promise<unknown>) => {
  const error = await work.then(
    () => null,
    (thrown: unknown) => thrown,
  )
  expect(error).toBeInstanceOf(InputError)
  return error as InputError
}

describe('the working frame', () => {
  it('refuses a system whose lengths are off where the data lie', async () => {
    // Scale of the Mercator projection at latitude 35.7: 1/cos = 1.231 (Snyder 1987, PP 1395, eq. 7-3).
    const mercator = await problemOf(prepareTools(brief('EPSG:3857'), [at(-45.8, 35.7)]))
    expect(mercator.problem).toMatchObject({ field: 'working_crs', value: 'EPSG:3857' })
    expect(mercator.problem.remedy).toContain('"auto"')
    // Zone 26 has its meridian at 27 W, 18.8 degrees away.
    expect((await problemOf(prepareTools(brief('EPSG:32626'), [at(-45.8, 35.7)]))).problem.field).toBe('working_crs')
  })

  it('takes the zone of the data on its meridian and at its edge', async () => {
    // UTM: scale 0.9996 on the meridian of zone 23 (45 W); at 3 degrees on the equator 1.00098 (Snyder 1987, eq. 8-11).
    const middle = await prepareTools(brief('EPSG:32623'), [at(-45, 35.7)])
    expect(middle.frame.scaleError).toBeCloseTo(0.0004, 8)
    const edge = await prepareTools(brief('EPSG:32623'), [at(-48, 0)])
    expect(edge.frame.scaleError).toBeCloseTo(0.00098, 5)
  })

  it('is held against the discs of stated sizes, chosen from the positions alone', async () => {
    const small = await prepareTools(brief('auto'), [{ ...at(-45.8, 35.7), size: 300 as SquareMetres }])
    expect(small.frame.crs).toBe((await prepareTools(brief('auto'), [at(-45.8, 35.7)])).frame.crs)
    // A disc of 1e12 m² reaches 564 km: scale off by (564/6371)²/2 = 0.0039.
    const huge = prepareTools(brief('auto'), [{ ...at(-45.8, 35.7), size: 1e12 as SquareMetres }])
    expect((await problemOf(huge)).problem.code).toBe('frame-too-wide')
  })

  it('does not let an accepted size pass that reaches beyond it', async () => {
    const accepted = report('1', { status: 'accepted', size: 1e12 as SquareMetres })
    expect((await problemOf(vetReports(brief('auto'), [accepted], null))).problem.code).toBe('frame-too-wide')
  })
})

describe('reports of which none counts', () => {
  it('says what became of them, row by row', async () => {
    const held = await problemOf(vetReports(brief('auto'), [report('1', { size: 1e12 as SquareMetres })], null))
    expect(held.problem.reason).toContain('The only report does not count')
    expect(held.rejected).toMatchObject([{ file: 'r.csv', row: 2, field: 'size_m2' }])
    const row = { code: 'report-date', file: 'r.csv', row: 7, field: 'date', reason: 'This is no date' }
    const refused = await problemOf(vetReports(brief('auto'), [], null, { rejected: [row] }))
    expect(refused.problem.reason).toContain('the only row was refused')
    expect(refused.rejected).toEqual([row])
    expect((await problemOf(vetReports(brief('auto'), [], null))).problem.reason).toContain('no row below')
  })
})
