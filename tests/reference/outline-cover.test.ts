import { describe, expect, it } from 'vitest'
import { DAUBENMIRE, parseCover } from '../../core/model/index.ts'
import { check, checkAll } from './check.ts'
import values from './values/daubenmire.json' with { type: 'json' }

// Source: values/daubenmire.json, per cent. Tolerance: exact (midpoints are halves of per cents).
describe('cover classes of Daubenmire (1959)', () => {
  for (const { cls, lo, hi, mid } of values.classes.rows) {
    it(`class ${cls}: ${lo}-${hi} %, midpoint ${mid}`, () => {
      const own = DAUBENMIRE.classes.find(entry => entry.label === String(cls))!
      expect([own.low * 100, own.high * 100]).toEqual([lo, hi])
      expect(parseCover(String(cls), DAUBENMIRE)! * 100).toBeCloseTo(mid, 10)
    })
  }

  it('mean cover over all quadrats and over the occupied ones', () => {
    const { quadratsPerClass, emptyQuadrats, meanOverAll, meanOverOccupied } = values.mean
    const rows = Object.entries(quadratsPerClass)
    const sum = rows.reduce((total, [label, n]) => total + n * parseCover(label, DAUBENMIRE)! * 100, 0)
    const occupied = rows.reduce((total, [, n]) => total + n, 0)
    checkAll({
      what: 'midpoints of cover classes, %',
      source: 'Daubenmire (1959)',
      within: 5e-11,
      pairs: values.classes.rows.map(({ cls, mid }) => [mid, parseCover(String(cls), DAUBENMIRE)! * 100]),
    })
    const source = 'Technical Reference 1734-4 (1999), method'
    const got = sum / (occupied + emptyQuadrats)
    check({ what: 'mean cover over all quadrats, %', source, expected: meanOverAll, got, within: 5e-10 })
    expect(sum / occupied).toBeCloseTo(meanOverOccupied, 9)
  })
})
