import type { Rate, RateKind } from '../model/index.ts'
import { linearFit, mean, studentTQuantile } from '../stats/index.ts'

/** Seasons from which a rate is given, and from which it may lead an answer. */
const SEASONS_FOR_RATE = 3
const SEASONS_FOR_HEADLINE = 4

/** Values by year; null where a season has none. */
export interface YearSeries {
  readonly years: readonly number[]
  readonly values: readonly (number | null)[]
}

/**
 * Rate a year as the slope of a measure on year by least squares (the measure is the dependent side), with the 90 % t
 * interval of n - 2 degrees of freedom. Absent: `value` null with a reason under three seasons.
 */
export function rateFromSlope(series: YearSeries, method: string, missing: string): Rate {
  const kept = series.values.flatMap((value, i) => (value === null ? [] : [[series.years[i]!, value] as const]))
  const n = kept.length
  if (n < SEASONS_FOR_RATE || new Set(kept.map(([year]) => year)).size < 2) return noRate(n, method, missing)
  const fit = linearFit(
    kept.map(([year]) => year),
    kept.map(([, value]) => value),
  )
  const { slope: value, low, high, r2 } = fit
  return { value, low, high, n, r2, method, isHeadline: n >= SEASONS_FOR_HEADLINE, reason: null }
}

/** A move from one season to a later one. */
export interface Step {
  readonly years: number
  readonly move: number | null
}

/**
 * Rate a year from successive moves: their sum over the years they took, with a t interval between the moves.
 * A move over several years varies with their number, so each weighs by it.
 * Absent: `value` null with a reason under two moves (three seasons).
 */
export function rateFromSteps(steps: readonly Step[], method: string, missing: string): Rate {
  const kept = steps.flatMap(step => (step.move === null || !(step.years > 0) ? [] : [{ ...step, move: step.move }]))
  const n = kept.length === 0 ? 0 : kept.length + 1
  if (n < SEASONS_FOR_RATE) return noRate(n, method, missing)
  const years = kept.reduce((sum, step) => sum + step.years, 0)
  const value = kept.reduce((sum, step) => sum + step.move, 0) / years
  const squares = kept.reduce((sum, step) => sum + (step.move - value * step.years) ** 2 / step.years, 0)
  const freedom = kept.length - 1
  const reach = studentTQuantile(0.95, freedom) * Math.sqrt(squares / freedom / years)
  const interval = { low: value - reach, high: value + reach }
  return { value, ...interval, n, r2: null, method, isHeadline: n >= SEASONS_FOR_HEADLINE, reason: null }
}

/**
 * Rate a year from successive moves, as the slope of their running total on year by least squares: a season's figure errs
 * once, in the move to it and, the other way round, in the move from it, so that totals err alone and moves do not.
 * Where a move is missing a new total begins with an intercept of its own; t interval with the degrees of freedom left.
 * Absent: `value` null with a reason under three seasons.
 */
export function rateFromCumulated(steps: readonly Step[], method: string, missing: string): Rate {
  const runs = totalsOf(steps)
  const n = runs.reduce((sum, run) => sum + run.length, 0)
  const freedom = n - runs.length - 1
  if (freedom < 1) return noRate(n, method, missing)
  let [sumXX, sumXY, sumYY] = [0, 0, 0]
  for (const run of runs) {
    const [meanX, meanY] = [mean(run.map(({ year }) => year)), mean(run.map(({ total }) => total))]
    for (const { year, total } of run) {
      sumXX += (year - meanX) ** 2
      sumXY += (year - meanX) * (total - meanY)
      sumYY += (total - meanY) ** 2
    }
  }
  const value = sumXY / sumXX
  const residual = Math.max(0, sumYY - value * sumXY)
  const reach = studentTQuantile(0.95, freedom) * Math.sqrt(residual / freedom / sumXX)
  const r2 = sumYY > 0 ? 1 - residual / sumYY : null
  const interval = { low: value - reach, high: value + reach }
  return { value, ...interval, n, r2, method, isHeadline: n >= SEASONS_FOR_HEADLINE, reason: null }
}

interface Total {
  readonly year: number
  readonly total: number
}

/** Running totals from zero, a new one after every move that is not known. */
function totalsOf(steps: readonly Step[]): Total[][] {
  const runs: Total[][] = []
  let run: Total[] = []
  let year = 0
  for (const { years, move } of steps) {
    if (move === null || !(years > 0)) run = []
    else {
      if (run.length === 0) runs.push(run)
      if (run.length === 0) run.push({ year, total: 0 })
      run.push({ year: year + years, total: run.at(-1)!.total + move })
    }
    year += years
  }
  return runs
}

function noRate(n: number, method: string, missing: string): Rate {
  const counted = n === 1 ? 'one season' : `${n} seasons`
  const reason = n === 0 ? missing : `A rate needs ${SEASONS_FOR_RATE} seasons; this measure has ${counted}.`
  return { value: null, low: null, high: null, n, r2: null, method, isHeadline: false, reason }
}

/** Length / width over which the round-front rate is never led with. Source: design of the measure, common practice. */
export const ELONGATED = 3

/**
 * The rate that an answer leads with: along the water where patches are long and thin, else the edge move, else (without
 * dated finds) the round-front rate, the displacement of the outlines, the distance from the origin. Null where none may.
 */
export function chooseLead(rates: Readonly<Record<RateKind, Rate>>, elongation: number | null): RateKind | null {
  const isElongated = elongation !== null && elongation > ELONGATED
  const order: readonly RateKind[] = isElongated
    ? ['along_water_m_per_year', 'edge_move_m_per_year', 'displacement_m_per_year', 'distance_m_per_year']
    : ['edge_move_m_per_year', 'radial_m_per_year', 'displacement_m_per_year', 'distance_m_per_year']
  return order.find(kind => rates[kind].isHeadline) ?? null
}
