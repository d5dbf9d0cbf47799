import { describe, expect, it } from 'vitest'
import { accuracyAt95, factorTo95 } from '../../core/model/index.ts'
import { check } from './check.ts'

describe('radii of a circular normal', () => {
  // FGDC-STD-007.3-1998, appendix 3-A: horizontal accuracy at 95 % = 1.7308 RMSE (from memory). A circle of the radial
  // root mean square error holds 1 - 1/e of the positions.
  it('root mean square error to 95 %', () => {
    const got = factorTo95(1 - Math.exp(-1))
    check({ what: 'RMSE to 95 % radius', source: 'FGDC-STD-007.3-1998, 3-A', expected: 1.7308, got, within: 5e-5 })
  })

  // Both in standard deviations of a coordinate: 1.1774 holds 50 %, 2.4477 holds 95 % (the same standard, 3-A; from memory).
  it('half of the positions to 95 %', () => {
    const source = 'FGDC-STD-007.3-1998, 2.4477 / 1.1774'
    check({ what: '50 % radius to 95 % radius', source, expected: 2.4477 / 1.1774, got: factorTo95(0.5), within: 1e-4 })
  })

  it('a figure at 95 % stays, and a missing one counts as 30 m', () => {
    expect(accuracyAt95({ accuracy: 12, accuracyLevel: 0.95 } as Parameters<typeof accuracyAt95>[0])).toBeCloseTo(
      12,
      12,
    )
    expect(accuracyAt95({ accuracy: null, accuracyLevel: null })).toBe(30)
  })
})
