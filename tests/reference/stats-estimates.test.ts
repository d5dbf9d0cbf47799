import { execFileSync } from 'node:child_process'
import { describe, expect, it } from 'vitest'
import {
  clopperPearson,
  createRandom,
  incompleteBeta,
  incompleteGamma,
  linearFit,
  logGamma,
  normalQuantile,
  quantile,
  quantileRegression,
  rankAuc,
  studentTProbability,
  studentTQuantile,
  weightedQuantile,
  wilson,
} from '../../core/stats/index.ts'
import { check, checkAll } from './check.ts'
import statistics from './values/statistics.json' with { type: 'json' }

describe('distributions', () => {
  // R 4.2.2: qt, pbeta, pgamma, qnorm, lgamma printed to 12 digits.
  it.each([
    ['Student t quantile', studentTQuantile(0.95, 1), 6.31375151468],
    ['Student t quantile', studentTQuantile(0.95, 2), 2.91998558035],
    ['Student t quantile', studentTQuantile(0.95, 3), 2.3533634348],
    ['Student t quantile', studentTQuantile(0.975, 10), 2.22813885199],
    ['incomplete beta function', incompleteBeta(0.3, 2.5, 7), 0.641222462972],
    ['incomplete gamma function', incompleteGamma(1.7, 3.2), 0.878133039757],
    ['incomplete gamma function', incompleteGamma(30, 20), 0.0218182175256],
    ['normal quantile', normalQuantile(0.95), 1.64485362695],
    ['log gamma function', logGamma(0.3), 1.09579799482],
    ['log gamma function', logGamma(57.5), 174.372129819],
  ])('%s agrees with R', (what, got, expected) => {
    check({ what, source: 'R 4.2.2', expected, got, share: 5e-12 })
  })

  it('gives the t table of Student (1908) as every handbook prints it', () => {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, upper critical values at 0.95 (from memory).
    const table: readonly [number, number][] = [
      [1, 6.314],
      [2, 2.92],
      [5, 2.015],
      [10, 1.812],
      [30, 1.697],
    ]
    const pairs = table.map(([freedom, value]) => [value, studentTQuantile(0.95, freedom)] as const)
    checkAll({ what: 'Student t table, 0.95', source: 'NIST e-Handbook 1.3.6.7.2', within: 5e-4, pairs })
    expect(studentTProbability(studentTQuantile(0.2, 7), 7)).toBeCloseTo(0.2, 12)
  })
})

describe('shares', () => {
  const checks = Object.entries(statistics.checks).filter(([id]) => id.startsWith('clopper'))
  it.each(checks)('%s (Clopper and Pearson 1934)', (_, check) => {
    const { input, expected } = check as unknown as {
      input: { x: number; n: number; conf: number }
      expected: { lower: number; upper: number }
    }
    const { low, high } = clopperPearson(input.x, input.n, input.conf)
    const pairs = [[expected.lower, low] as const, [expected.upper, high] as const]
    const what = 'interval of a share of records'
    checkAll({ what, source: 'Clopper and Pearson (1934), scipy', within: 1e-9, pairs })
  })

  it('gives the score interval of 81 of 263', () => {
    // Newcombe (1998) Statistics in Medicine 17:857-872, Table I, method 3 (Wilson): 0.2553 to 0.3662 (from memory).
    const { low, high } = wilson(81, 263, 0.95)
    const pairs = [[0.2553, low] as const, [0.3662, high] as const]
    checkAll({ what: 'score interval of 81 of 263', source: 'Newcombe (1998), Table I', within: 5e-5, pairs })
  })
})

describe('quantiles', () => {
  it('interpolates as type 7', () => {
    // Hyndman and Fan (1996), definition 7, by hand: h = 0.25 x 3 of 1, 2, 4, 8.
    const source = 'Hyndman and Fan (1996), definition 7'
    check({ what: 'quantile 0.25 of 1, 2, 4, 8', source, expected: 1.75, got: quantile([8, 1, 4, 2], 0.25) })
    expect(quantile([8, 1, 4, 2], 0.5)).toBe(3)
    expect(quantile([], 0.5)).toBeNaN()
  })

  it('equals type 7 for equal weights and leans with the weights', () => {
    const random = createRandom(3)
    const values = Array.from({ length: 37 }, () => random.normal())
    for (const p of [0, 0.05, 0.5, 0.9, 1]) {
      expect(
        weightedQuantile(
          values,
          values.map(() => 2.5),
          p,
        ),
      ).toBeCloseTo(quantile(values, p), 12)
    }
    expect(weightedQuantile([0, 10], [1, 9], 0.5)).toBe(5)
    // By hand: the values stand at 0.5, 1.5 and 6 of a weight of 10; half way from 0.5 to 6 is 3.25.
    expect(weightedQuantile([0, 5, 10], [1, 1, 8], 0.5)).toBeCloseTo(5 + (5 * 1.75) / 4.5, 12)
    expect(weightedQuantile([1, 99], [1, 0], 0.5)).toBe(1)
  })
})

describe('quantile regression', () => {
  const loss = (x: readonly number[], y: readonly number[], tau: number, slope: number, intercept: number) =>
    x.reduce((sum, value, i) => {
      const residual = y[i]! - intercept - slope * value
      return sum + residual * (residual < 0 ? tau - 1 : tau)
    }, 0)

  it('is never beaten by a line through any two points (Koenker and Bassett 1978)', () => {
    const random = createRandom(11)
    const losses: [expected: number, got: number][] = []
    for (let trial = 0; trial < 40; trial++) {
      const n = 5 + random.integer(20)
      const isTied = trial % 2 === 0
      const x = Array.from({ length: n }, () => (isTied ? random.integer(5) : random.normal()))
      const y = x.map(value => (isTied ? random.integer(6) : value + random.normal()))
      if (new Set(x).size < 2) continue
      const tau = 0.1 + 0.8 * random.next()
      const line = quantileRegression(x, y, tau)
      let best = Number.POSITIVE_INFINITY
      for (let i = 0; i < n; i++)
        for (let j = 0; j < i; j++) {
          if (x[i] === x[j]) continue
          const slope = (y[i]! - y[j]!) / (x[i]! - x[j]!)
          best = Math.min(best, loss(x, y, tau, slope, y[i]! - slope * x[i]!))
        }
      expect(loss(x, y, tau, line.slope, line.intercept)).toBeLessThanOrEqual(best + 1e-9)
      losses.push([best, loss(x, y, tau, line.slope, line.intercept)])
    }
    const what = 'loss of quantile lines, 40 sets'
    checkAll({ what, source: 'every line through two points', within: 1e-9, pairs: losses })
  })
})

describe('ranking', () => {
  it('gives the area and error of Hanley and McNeil (1982) Table I', () => {
    const { input, expected } = statistics.checks['hanley-mcneil']
    const { normal, abnormal } = input
    const score: number[] = []
    const sick: boolean[] = []
    normal.forEach((count, rating) => {
      for (let i = 0; i < count; i++) [score.push(rating), sick.push(false)]
    })
    abnormal.forEach((count, rating) => {
      for (let i = 0; i < count; i++) [score.push(rating), sick.push(true)]
    })
    const result = rankAuc(score, sick)!
    const source = 'Hanley and McNeil (1982), Table I'
    expect(result.auc).toBeCloseTo(expected.auc, 9)
    expect(result.standardError).toBeCloseTo(expected.se_exponential, 9)
    check({ what: 'area under the curve', source, expected: expected.published_auc, got: result.auc, within: 0.0005 })
    const error = { what: 'its standard error, recomputed', source }
    check({ ...error, expected: expected.se_exponential, got: result.standardError, within: 5e-10 })
    expect(rankAuc([1, 2], [true, true])).toBeNull()
  })

  it('gives the area of ten forecasts', () => {
    const { input, expected, source } = statistics.checks['brier-10']
    expect(source).toContain('scikit-learn')
    const { auc } = rankAuc(input.forecast, input.outcome)!
    const what = 'area under the curve, ten forecasts'
    check({ what, source: 'scikit-learn 1.2.1', expected: expected.auc, got: auc, within: 5e-13 })
  })
})

describe('live cross-check', () => {
  const hasR = (() => {
    try {
      execFileSync('Rscript', ['--version'], { stdio: 'ignore' })
      return true
    } catch {
      return false
    }
  })()

  it.skipIf(!hasR)('agrees with R lm, quantile and confint on seeded data', () => {
    const random = createRandom(5)
    const x = Array.from({ length: 9 }, (_, i) => 2015 + i)
    const y = x.map(value => 3 * (value - 2015) + random.normal())
    const script = `x<-c(${x});y<-c(${y});m<-lm(y~x);cat(sprintf("%.14g\\n",c(coef(m)[2],summary(m)$r.squared,confint(m,level=.9)[2,],quantile(y,.37))))`
    const theirs = execFileSync('Rscript', ['-e', script], { encoding: 'utf8' }).trim().split('\n').map(Number)
    const fit = linearFit(x, y)
    const ours = [fit.slope, fit.r2!, fit.low!, fit.high!, quantile(y, 0.37)]
    const pairs = ours.map((value, i) => [theirs[i]!, value] as const)
    checkAll({ what: 'slope, R2, interval and quantile', source: 'R, run now', share: 1e-9, pairs })
  })
})
