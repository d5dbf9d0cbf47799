import { incompleteGamma, invertRising } from './special-functions.ts'

/** Chance that a standard normal variable stays at or below `value`. Source: Abramowitz and Stegun (1964) 26.2.29 with 6.5.16. */
export function normalProbability(value: number): number {
  const half = incompleteGamma(0.5, (value * value) / 2) / 2
  return value < 0 ? 0.5 - half : 0.5 + half
}

/** The value that a standard normal variable stays at or below with chance `p`. Range: 1e-12 < p < 1 - 1e-12. Accuracy: 1e-10. */
export function normalQuantile(p: number): number {
  if (!(p > 1e-12 && p < 1 - 1e-12)) throw new Error(`a normal quantile needs p inside 0 and 1, got ${p}`)
  return invertRising(normalProbability, p, -8, 8)
}
