import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { rateFromCumulated, rateFromSlope, rateFromSteps } from '../../core/advance/index.ts'
import { azimuthBetween, measureDistance } from '../../core/geo/index.ts'
import { linearFit, quantileRegression } from '../../core/stats/index.ts'
import { check, checkAll } from './check.ts'
import spread from './values/spread.json' with { type: 'json' }

const { checks } = spread
const relative = (actual: number, expected: number) => Math.abs(actual - expected) / Math.abs(expected)

describe('sea otter range (Lubina and Levin 1988, Am. Nat. 131:526-543)', () => {
  const { year, total_range_km, northward_increment_km, southward_increment_km } = checks['sea-otter-data'].input
  const cumulate = (increments: readonly number[]) => increments.map((_, i) => 11 + sum(increments.slice(0, i + 1)))
  const between = (from: number, to: number, values: readonly number[]) => {
    const kept = year.flatMap((one, i) => (one >= from && one <= to ? [i] : []))
    return { years: kept.map(i => year[i]!), values: kept.map(i => values[i]!) }
  }
  const rate = (series: { years: number[]; values: number[] }) => rateFromSlope(series, 'range on year', '')

  it('adds up in every row, so that the table was read right', () => {
    const [north, south] = [cumulate(northward_increment_km), cumulate(southward_increment_km)]
    total_range_km.forEach((total, i) => {
      expect(north[i]! + south[i]! - 11).toBe(total)
    })
  })

  it.each([
    ['north', northward_increment_km, checks['sea-otter-1938-72-north'].expected],
    ['south', southward_increment_km, checks['sea-otter-1938-72-south'].expected],
  ] as const)('spread %s 1938-72 as R lm has it', (way, increments, expected) => {
    const found = rate(between(1938, 1972, cumulate(increments)))
    const slope = expected.slope_km_per_yr
    const what = `sea otter, ${way} 1938-72, km/year`
    check({ what, source: 'Lubina and Levin (1988), R lm', expected: slope, got: found.value, share: 1e-9 })
    expect(relative(found.r2!, expected.r2)).toBeLessThan(1e-9)
    expect(found.isHeadline).toBe(true)
  })

  it('spread in all 1938-72, and faster both ways 1973-79', () => {
    const all = linearFit(...pair(between(1938, 1972, total_range_km)))
    const slope = checks['sea-otter-total-1938-72'].expected.slope
    const source = 'Lubina and Levin (1988), R lm'
    check({ what: 'sea otter, range 1938-72, km/year', source, expected: slope, got: all.slope, share: 1e-9 })
    expect(relative(all.intercept, checks['sea-otter-total-1938-72'].expected.intercept)).toBeLessThan(1e-9)
    const { north, south } = checks['sea-otter-1973-79'].expected
    const later = (increments: readonly number[]) => rate(between(1973, 1979, cumulate(increments))).value!
    const pairs = [[north, later(northward_increment_km)] as const, [south, later(southward_increment_km)] as const]
    checkAll({ what: 'sea otter, both ways 1973-79, km/year', source, share: 1e-9, pairs })
  })
})

describe('cells of 10 km with an established population (De Bona et al. 2023, NeoBiota 86:151-168, data CC BY 4.0)', () => {
  const rows = readFileSync(new URL('./values/first-established-10km.csv', import.meta.url), 'utf8')
    .trim()
    .split(/\r?\n/)
    .slice(1)
    .map(line => line.split(',').map(Number) as [longitude: number, latitude: number, year: number])
  const { lon, lat } = checks['distance-regression-2020'].input.origin
  const until = (last: number) => {
    const kept = rows.filter(row => row[2] <= last)
    return { year: kept.map(row => row[2]), km: kept.map(row => measureDistance(lon, lat, row[0], row[1]) / 1000) }
  }

  it.each(['sqrt-area-2014-2020', 'sqrt-area-2014-2023'] as const)('%s: area-equivalent radius on year', id => {
    const { input, expected } = checks[id]
    const radius = input.area_km2.map(area => Math.sqrt(area / Math.PI))
    const rate = rateFromSlope({ years: input.years, values: radius }, '', '')
    const fit = linearFit(input.years, radius)
    const what = `planthopper, sqrt(area/pi) to ${input.years.at(-1)}, km/year`
    const slope = expected.slope_sqrtA_over_pi_km_per_yr
    check({ what, source: 'De Bona et al. (2023), numpy', expected: slope, got: rate.value, share: 1e-9 })
    expect(relative(rate.r2!, expected.r2)).toBeLessThan(1e-9)
    expect(relative(fit.standardError!, expected.se)).toBeLessThan(1e-9)
  })

  it('distance on year to 2020, mean and quantiles', () => {
    const { year, km } = until(2020)
    const { expected } = checks['distance-regression-2020']
    const fit = linearFit(year, km)
    expect(fit.n).toBe(expected.n)
    const data = 'De Bona et al. (2023)'
    const mean = { what: 'planthopper, distance on year to 2020, km/year', source: `${data}, numpy` }
    check({ ...mean, expected: expected.slope, got: fit.slope, share: 1e-6 })
    const error = { what: 'its standard error, km/year', source: `${data}, numpy` }
    check({ ...error, expected: expected.se, got: fit.standardError, share: 1e-6 })
    expect(relative(fit.intercept, expected.intercept)).toBeLessThan(1e-6)
    expect(relative(fit.r2!, expected.r2)).toBeLessThan(1e-6)
    for (const [tau, line] of [
      [0.5, expected.quantile_0_5],
      [0.9, expected.quantile_0_9],
    ] as const) {
      const found = quantileRegression(year, km, tau)
      const claim = { what: `quantile ${tau} of distance on year, km/year`, source: `${data}, R quantreg` }
      check({ ...claim, expected: line.slope, got: found.slope, share: 1e-6 })
      expect(relative(found.intercept, line.intercept)).toBeLessThan(1e-6)
    }
  })

  it('distance on year to 2023, mean and quantiles', () => {
    const { year, km } = until(2023)
    const { expected } = checks['distance-regression-2023']
    expect(year.length).toBe(expected.n)
    const pairs = [
      [expected.slope, linearFit(year, km).slope],
      [expected.quantile_0_5_slope, quantileRegression(year, km, 0.5).slope],
      [expected.quantile_0_9_slope, quantileRegression(year, km, 0.9).slope],
    ] as const
    const what = 'the same to 2023: mean and two quantiles'
    checkAll({ what, source: 'De Bona et al. (2023), numpy, R quantreg', share: 1e-6, pairs })
  })

  it('differs threefold when year is made the dependent side, which is why it never is', () => {
    const { year, km } = until(2020)
    const { expected } = checks['distance-regression-2020-reversed']
    expect(relative(linearFit(km, year).slope, expected.slope)).toBeLessThan(1e-8)
  })

  it('farthest cell by year and its slope', () => {
    const { input, expected } = checks['max-distance-by-year']
    const { year, km } = until(2020)
    const farthest = input.years.map(last => Math.max(...km.filter((_, i) => year[i]! <= last)))
    const pairs = farthest.map((distance, i) => [expected.max_km[i]!, distance] as const)
    checkAll({ what: 'farthest cell by year, km', source: 'De Bona et al. (2023), pyproj', within: 0.001, pairs })
    const rate = rateFromSlope({ years: input.years, values: farthest }, '', '')
    expect(relative(rate.value!, checks['distance-regression-2020'].expected.max_distance_slope)).toBeLessThan(1e-6)
  })

  it('boundary displacement: mean of successive differences of the front in eight sectors', () => {
    const { expected } = checks['boundary-displacement-2014-2020']
    const years = [2014, 2015, 2016, 2017, 2018, 2019, 2020]
    const fronts = years.map(last =>
      sectorFronts(
        rows.filter(row => row[2] <= last),
        lon,
        lat,
      ),
    )
    const steps = years.slice(1).map((_, i) => ({
      years: 1,
      move: sum(fronts[i + 1]!.map((front, sector) => front - fronts[i]![sector]!)) / 8,
    }))
    steps.forEach((step, i) => {
      expect(Math.abs(step.move - expected.by_year[i]!)).toBeLessThan(0.001)
    })
    const claim = { what: 'boundary displacement, 8 sectors, km/year', source: 'De Bona et al. (2023), pyproj' }
    const got = rateFromSteps(steps, '', '').value
    check({ ...claim, expected: expected.mean_km_per_yr, got, within: 0.001 })
  })

  function sectorFronts(cells: typeof rows, longitude: number, latitude: number): number[] {
    const fronts = new Array<number>(8).fill(0)
    for (const [x, y] of cells) {
      const sector = Math.floor(((azimuthBetween(longitude, latitude, x, y) + 360) % 360) / 45)
      fronts[sector] = Math.max(fronts[sector]!, measureDistance(longitude, latitude, x, y) / 1000)
    }
    return fronts
  }
})

describe('what a rate needs', () => {
  it('gives none from two seasons, one from three, and leads from four', () => {
    const all = { years: [2020, 2021, 2022, 2023], values: [2, 5, 8.1, 11] }
    const rate = (n: number) => rateFromSlope({ years: all.years.slice(0, n), values: all.values.slice(0, n) }, '', '')
    expect(rate(2)).toMatchObject({ value: null, low: null, n: 2, isHeadline: false })
    expect(rate(2).reason).toMatch(/three|3 seasons/)
    expect(rate(3)).toMatchObject({ n: 3, isHeadline: false, reason: null })
    expect(rate(4)).toMatchObject({ n: 4, isHeadline: true })
  })

  it('widens the interval of three seasons by the t of one degree of freedom', () => {
    // By hand: mean 15.1 / 3, slope 3.05, se = sqrt(RSS / 1 / 2); t(0.95, 1) = 6.31375151468 (R qt).
    const { value, low, high } = rateFromSlope({ years: [0, 1, 2], values: [2, 5, 8.1] }, '', '')
    const residuals = [2, 5, 8.1].map((y, i) => y - (15.1 / 3 + 3.05 * (i - 1)))
    const se = Math.sqrt(sum(residuals.map(r => r * r)) / 2)
    expect(value).toBeCloseTo(3.05, 12)
    expect(high! - value!).toBeCloseTo(6.313751514675 * se, 9)
    expect(value! - low!).toBeCloseTo(6.313751514675 * se, 9)
  })

  it('gives 3 for a perfectly round front by both methods', () => {
    const { input, expected } = checks['sqrt-area-exact']
    const got = rateFromSlope({ years: input.years, values: input.radius_km }, '', '').value
    check({ what: 'a round front of 3 a year', source: 'constructed', expected: expected.rate, got, within: 5e-13 })
    const steps = input.radius_km.slice(1).map((radius, i) => ({ years: 1, move: radius - input.radius_km[i]! }))
    expect(rateFromSteps(steps, '', '')).toMatchObject({ value: 3, low: 3, high: 3, n: 4 })
  })

  it('shares a move over a gap of two years between them', () => {
    const rate = rateFromSteps(
      [
        { years: 1, move: 10 },
        { years: 2, move: 20 },
      ],
      '',
      '',
    )
    expect(rate).toMatchObject({ value: 10, low: 10, high: 10, n: 3, isHeadline: false })
  })

  it('takes moves added up as a slope on year, with an intercept for each unbroken run', () => {
    // The running total 0, 2, 5, 8.1 of the moves 2, 3, 3.1: the same as least squares on it.
    const steps = [2, 3, 3.1].map(move => ({ years: 1, move }))
    const slope = rateFromSlope({ years: [0, 1, 2, 3], values: [0, 2, 5, 8.1] }, '', '')
    const rate = rateFromCumulated(steps, '', '')
    for (const key of ['value', 'low', 'high', 'r2'] as const) expect(rate[key]).toBeCloseTo(slope[key]!, 9)
    expect(rate.n).toBe(4)
    // By hand, two runs of one move each (2 and 4 m): sums of squares 0.5 + 0.5 about their means, slope (1 + 2) / 1.
    const broken = rateFromCumulated(
      [
        { years: 1, move: 2 },
        { years: 1, move: null },
        { years: 1, move: 4 },
      ],
      '',
      '',
    )
    expect(broken.value).toBeCloseTo(3, 12)
    expect(broken).toMatchObject({ n: 4, isHeadline: true })
    // Residuals -0.5, 0.5 and 0.5, -0.5 about it: their squares add to 1, one degree of freedom, t(0.95, 1) = 6.31375151468.
    expect(broken.high! - broken.value!).toBeCloseTo(6.31375151468, 8)
    expect(rateFromCumulated(steps.slice(0, 1), '', '')).toMatchObject({ value: null, n: 2 })
  })
})

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0)
}

function pair(series: { years: number[]; values: number[] }): [number[], number[]] {
  return [series.years, series.values]
}
