import { normalQuantile } from './normal.ts'
import { incompleteBeta, invertRising } from './special-functions.ts'

/** Low and high end of an interval for a share (0-1). */
export interface ShareInterval {
  readonly low: number
  readonly high: number
}

/**
 * Exact interval of a share, from `hits` of `trials`; it never covers less than its level.
 * Source: Clopper and Pearson (1934) Biometrika 26:404-413.
 */
export function clopperPearson(hits: number, trials: number, level = 0.9): ShareInterval {
  checkCounts(hits, trials)
  const tail = (1 - level) / 2
  const low = hits === 0 ? 0 : invertRising(x => incompleteBeta(x, hits, trials - hits + 1), tail, 0, 1)
  const high = hits === trials ? 1 : invertRising(x => incompleteBeta(x, hits + 1, trials - hits), 1 - tail, 0, 1)
  return { low, high }
}

/**
 * Score interval of a share, from `hits` of `trials`; close to its level on average, never outside 0-1.
 * Source: Wilson (1927) J. Am. Stat. Assoc. 22:209-212.
 */
export function wilson(hits: number, trials: number, level = 0.9): ShareInterval {
  checkCounts(hits, trials)
  const z = normalQuantile((1 + level) / 2)
  const share = hits / trials
  const divisor = 1 + (z * z) / trials
  const centre = (share + (z * z) / (2 * trials)) / divisor
  const reach = (z / divisor) * Math.sqrt((share * (1 - share)) / trials + (z * z) / (4 * trials * trials))
  // The ends are exactly 0 and 1 there; rounding would leave a trace.
  return { low: hits === 0 ? 0 : centre - reach, high: hits === trials ? 1 : centre + reach }
}

function checkCounts(hits: number, trials: number): void {
  if (!(trials > 0 && hits >= 0 && hits <= trials)) throw new Error(`${hits} of ${trials} is no share`)
}
