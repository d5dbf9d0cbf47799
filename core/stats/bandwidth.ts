import type { WeightedPoints } from './kernel-density.ts'

/** Bandwidths of a two-dimensional Gaussian kernel, a direction each, in the unit of the points. */
export type Bandwidths = readonly [number, number]

/**
 * Rules of thumb, sd x n^(-1/6) a direction: in two dimensions those of Scott and of Silverman are one and the same.
 * Absent: null for fewer than three points or none apart in some direction.
 * Source: Scott (1992), Multivariate Density Estimation, eq. 6.42; Silverman (1986), Density Estimation, eq. 4.14.
 */
export function normalBandwidths(points: WeightedPoints): Bandwidths | null {
  const spread = spreadOf(points)
  if (spread === null) return null
  const factor = spread.count ** (-1 / 6)
  return [spread.sx * factor, spread.sy * factor]
}

/** Pairs of so many points at most are summed; of more, every k-th one stands for the rest. */
const MOST_POINTS = 1500

/**
 * Plug-in bandwidths in two stages from estimates of the density's curvature.
 * Absent: null as `normalBandwidths`. Cost: pairs of up to 1,500 points.
 * Source: Wand and Jones (1994), Multivariate plug-in bandwidth selection, Computational Statistics 9:97-116; Wand and
 * Jones (1995), Kernel Smoothing, section 4.7 (bandwidths a direction), 3.6 (stages).
 */
export function plugInBandwidths(points: WeightedPoints): Bandwidths | null {
  const spread = spreadOf(points)
  if (spread === null) return null
  const sample = scaledSample(points, spread)
  const count = spread.count
  const normal = (r: number, s: number) => kernelDerivative(r, Math.SQRT2) * kernelDerivative(s, Math.SQRT2)
  const sixth = (r: number, s: number) => estimatePsi(sample, [r, s], pilot([r, s], normal, count))
  const [p60, p42, p24, p06] = [sixth(6, 0), sixth(4, 2), sixth(2, 4), sixth(0, 6)]
  const known = (r: number, s: number) => (r === 6 ? p60 : s === 6 ? p06 : r === 4 ? p42 : p24)
  const fourth = (r: number, s: number) => estimatePsi(sample, [r, s], pilot([r, s], known, count))
  const [p40, p22, p04] = [fourth(4, 0), fourth(2, 2), fourth(0, 4)]
  const roughness = 1 / (4 * Math.PI)
  const first = ((p04 ** 0.75 * roughness) / (p40 ** 0.75 * (Math.sqrt(p40) * Math.sqrt(p04) + p22) * count)) ** (1 / 6)
  return [spread.sx * first, spread.sy * first * (p40 / p04) ** 0.25]
}

interface Spread {
  readonly count: number
  readonly sx: number
  readonly sy: number
}

/** Shortest standard deviation that a bandwidth can be made of. */
const LEAST_SPREAD = 0.01

function spreadOf({ x, y, weight }: WeightedPoints): Spread | null {
  let [count, sumX, sumY] = [0, 0, 0]
  for (let i = 0; i < x.length; i++) {
    const share = weight ? weight[i]! : 1
    count += share
    sumX += share * x[i]!
    sumY += share * y[i]!
  }
  let [squareX, squareY] = [0, 0]
  for (let i = 0; i < x.length; i++) {
    const share = weight ? weight[i]! : 1
    squareX += share * (x[i]! - sumX / count) ** 2
    squareY += share * (y[i]! - sumY / count) ** 2
  }
  const [sx, sy] = [Math.sqrt(squareX / (count - 1)), Math.sqrt(squareY / (count - 1))]
  return x.length >= 3 && sx > LEAST_SPREAD && sy > LEAST_SPREAD ? { count, sx, sy } : null
}

interface Sample {
  readonly x: Float64Array
  readonly y: Float64Array
  readonly weight: Float64Array
}

function scaledSample({ x, y, weight }: WeightedPoints, { sx, sy }: Spread): Sample {
  const step = Math.ceil(x.length / MOST_POINTS)
  const kept = Array.from({ length: Math.ceil(x.length / step) }, (_, k) => k * step)
  return {
    x: Float64Array.from(kept, i => x[i]! / sx),
    y: Float64Array.from(kept, i => y[i]! / sy),
    weight: Float64Array.from(kept, i => (weight ? weight[i]! : 1)),
  }
}

/** Value at 0 of the r-th derivative (r even) of the normal density with deviation `sigma`. */
function kernelDerivative(r: number, sigma: number): number {
  let odd = 1
  for (let k = r - 1; k > 1; k -= 2) odd *= k
  return ((r / 2) % 2 === 0 ? 1 : -1) * (odd / (Math.sqrt(2 * Math.PI) * sigma ** (r + 1)))
}

/** Bandwidth of the estimate of psi_(r, s) from the two functionals next above it. */
function pilot([r, s]: readonly [number, number], above: (r: number, s: number) => number, count: number): number {
  const peak = kernelDerivative(r, 1) * kernelDerivative(s, 1)
  return ((-2 * peak) / ((above(r + 2, s) + above(r, s + 2)) * count)) ** (1 / (r + s + 4))
}

/** The integral of the (r, s)-th derivative of the density times the density, summed over all pairs. */
function estimatePsi({ x, y, weight }: Sample, [r, s]: readonly [number, number], g: number): number {
  let [sum, total] = [0, 0]
  for (let i = 0; i < x.length; i++) {
    total += weight[i]!
    sum += weight[i]! ** 2 * hermite(r, 0) * hermite(s, 0)
    for (let j = 0; j < i; j++) {
      const [u, v] = [(x[i]! - x[j]!) / g, (y[i]! - y[j]!) / g]
      const square = u * u + v * v
      if (square > 80) continue
      sum += 2 * weight[i]! * weight[j]! * hermite(r, u) * hermite(s, v) * Math.exp(-square / 2)
    }
  }
  return sum / (total * total * 2 * Math.PI * g ** (r + s + 2))
}

/** Probabilists' Hermite polynomials of even degree to 6; the normal density times them is its derivative. */
function hermite(degree: number, u: number): number {
  const q = u * u
  if (degree === 0) return 1
  if (degree === 2) return q - 1
  if (degree === 4) return (q - 6) * q + 3
  return ((q - 15) * q + 45) * q - 15
}
