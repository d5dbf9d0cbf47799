/**
 * Elementary functions from basic arithmetic alone. An engine may give the last bit of Math.sin or Math.exp
 * differently from the next one; the county has to come out the same to the byte everywhere.
 */

const LN2 = Math.LN2
export const TAU = 2 * Math.PI

/** e to the power x. Accuracy: about 1e-15 relative for |x| < 700. */
export function exp(x: number): number {
  const k = Math.round(x / LN2)
  const r = (x - k * LN2) / 16
  let sum = 1
  for (let n = 12; n >= 1; n--) sum = 1 + (r * sum) / n
  for (let i = 0; i < 4; i++) sum *= sum
  const half = Math.abs(k)
  let scale = 1
  for (let i = 0; i < half; i++) scale *= 2
  return k >= 0 ? sum * scale : sum / scale
}

const RECIPROCALS = Float64Array.from({ length: 42 }, (_, n) => 1 / n)
const NUMBER = new Float64Array(1)
const BITS = new Int32Array(NUMBER.buffer)

/** Natural logarithm of a normal number x > 0. */
export function log(x: number): number {
  NUMBER[0] = x
  // The exponent stands in bits 52 to 62 (little-endian words); what is left is the mantissa, in [1, 2).
  let k = (((BITS[1] as number) >>> 20) & 2047) - 1023
  BITS[1] = ((BITS[1] as number) & 0x000fffff) | 0x3ff00000
  let m = NUMBER[0] as number
  if (m > 1.5) {
    m /= 2
    k++
  }
  const z = (m - 1) / (m + 1)
  const z2 = z * z
  let sum = 0
  for (let n = 41; n >= 1; n -= 2) sum = (RECIPROCALS[n] as number) + z2 * sum
  return 2 * z * sum + k * LN2
}

/** x to the power p, for x > 0. */
export function power(x: number, p: number): number {
  return x <= 0 ? 0 : exp(p * log(x))
}

/** Sine of an angle in radians, |angle| below about 1e6. */
export function sin(angle: number): number {
  let a = angle - TAU * Math.round(angle / TAU)
  if (a > TAU / 4) a = TAU / 2 - a
  if (a < -TAU / 4) a = -TAU / 2 - a
  const a2 = a * a
  let sum = 1
  for (let n = 23; n >= 3; n -= 2) sum = 1 - (a2 * sum) / (n * (n - 1))
  return a * sum
}

/** Cosine of an angle in radians. */
export function cos(angle: number): number {
  return sin(angle + TAU / 4)
}
