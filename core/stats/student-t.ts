import { incompleteBeta, invertRising } from './special-functions.ts'

/**
 * Chance that Student's t with `freedom` degrees of freedom stays at or below `value`.
 * Source: Abramowitz and Stegun (1964) 26.7.1 through the incomplete beta function.
 */
export function studentTProbability(value: number, freedom: number): number {
  if (!(freedom > 0)) throw new Error(`Student's t needs degrees of freedom above 0, got ${freedom}`)
  const tail = incompleteBeta(freedom / (freedom + value * value), freedom / 2, 0.5) / 2
  return value > 0 ? 1 - tail : tail
}

/**
 * The value that Student's t with `freedom` degrees of freedom stays at or below with chance `p`.
 * Range: 0 < p < 1. Accuracy: relative 1e-10.
 */
export function studentTQuantile(p: number, freedom: number): number {
  if (!(p > 0 && p < 1)) throw new Error(`a quantile needs 0 < p < 1, got ${p}`)
  if (p === 0.5) return 0
  if (p > 0.5) return -studentTQuantile(1 - p, freedom)
  // In the lower half 2p = I_z(freedom/2, 1/2) with z = freedom / (freedom + t^2), which rises with z.
  const z = invertRising(x => incompleteBeta(x, freedom / 2, 0.5), 2 * p, 0, 1)
  return -Math.sqrt((freedom * (1 - z)) / z)
}
