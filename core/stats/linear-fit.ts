import { studentTQuantile } from './student-t.ts'

/** A straight line by least squares. */
export interface LinearFit {
  readonly n: number
  readonly slope: number
  readonly intercept: number
  /** Of the slope; null with two points, where nothing is left to judge it by. */
  readonly standardError: number | null
  /** Share of the variance that the line explains; null where y does not vary. */
  readonly r2: number | null
  /** Interval of the slope at the asked level; null with two points. */
  readonly low: number | null
  readonly high: number | null
}

/**
 * Least-squares line of y on x with the t interval of its slope (n - 2 degrees of freedom).
 *
 * Range: at least two points with different x. Errors: plain Error otherwise.
 * Source: Draper and Smith (1998) Applied Regression Analysis, section 1.4; centred sums against cancellation.
 */
export function linearFit(x: readonly number[], y: readonly number[], level = 0.9): LinearFit {
  const n = x.length
  if (n < 2 || y.length !== n) throw new Error(`a line needs two or more pairs, got ${n} and ${y.length}`)
  const [meanX, meanY] = [mean(x), mean(y)]
  let [sumXX, sumXY, sumYY] = [0, 0, 0]
  for (let i = 0; i < n; i++) {
    const [dx, dy] = [x[i]! - meanX, y[i]! - meanY]
    sumXX += dx * dx
    sumXY += dx * dy
    sumYY += dy * dy
  }
  if (!(sumXX > 0)) throw new Error('a line needs different x')
  const slope = sumXY / sumXX
  const intercept = meanY - slope * meanX
  let residual = 0
  for (let i = 0; i < n; i++) residual += (y[i]! - meanY - slope * (x[i]! - meanX)) ** 2
  const r2 = sumYY > 0 ? 1 - residual / sumYY : null
  if (n === 2) return { n, slope, intercept, standardError: null, r2, low: null, high: null }
  const standardError = Math.sqrt(residual / (n - 2) / sumXX)
  const reach = studentTQuantile((1 + level) / 2, n - 2) * standardError
  return { n, slope, intercept, standardError, r2, low: slope - reach, high: slope + reach }
}

/** Arithmetic mean; NaN of nothing. */
export function mean(values: ArrayLike<number>): number {
  let sum = 0
  for (let i = 0; i < values.length; i++) sum += values[i]!
  return sum / values.length
}
