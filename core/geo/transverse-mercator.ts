/**
 * The transverse Mercator projection by Krueger's series to the sixth order in the third flattening n.
 * Accuracy and cost: better than 5 nm within 3900 km of the central meridian; under 1 microsecond a point.
 * Source: Karney (2011), Transverse Mercator with an accuracy of a few nanometers, J. Geodesy 85:475-485,
 * doi:10.1007/s00190-011-0445-3, equations 7-15, 35 and 36.
 */
export interface TransverseMercator {
  forward(longitude: number, latitude: number): [x: number, y: number]
  inverse(x: number, y: number): [longitude: number, latitude: number]
}

export interface TransverseMercatorOptions {
  /** Degrees. */
  readonly centralMeridian: number
  readonly originLatitude: number
  readonly scale: number
  /** Metres. */
  readonly falseEasting: number
  readonly falseNorthing: number
  readonly ellipsoid?: Ellipsoid
}

export interface Ellipsoid {
  /** Equatorial radius, metres. */
  readonly a: number
  /** Inverse flattening. */
  readonly inverseFlattening: number
}

/** Source: NIMA TR8350.2 (2000), table 3.1. */
export const WGS84: Ellipsoid = { a: 6378137, inverseFlattening: 298.257223563 }
/** Source: Moritz (2000), Geodetic Reference System 1980, J. Geodesy 74:128-133. */
export const GRS80: Ellipsoid = { a: 6378137, inverseFlattening: 298.257222101 }

const DEGREE = Math.PI / 180

export function createTransverseMercator(options: TransverseMercatorOptions): TransverseMercator {
  const { a, inverseFlattening } = options.ellipsoid ?? WGS84
  const flattening = 1 / inverseFlattening
  const n = flattening / (2 - flattening)
  const e2 = flattening * (2 - flattening)
  const e = Math.sqrt(e2)
  const rectifying = (a / (1 + n)) * (1 + n ** 2 / 4 + n ** 4 / 64 + n ** 6 / 256)
  const radius = options.scale * rectifying
  const [alpha, beta] = [forwardSeries(n), inverseSeries(n)]
  const meridian = options.centralMeridian

  const toUnit = (longitude: number, latitude: number): [xi: number, eta: number] => {
    const lambda = longitudeFrom(meridian, longitude) * DEGREE
    const tau = conformalTangent(Math.tan(latitude * DEGREE), e)
    const cosLambda = Math.cos(lambda)
    const xi = Math.atan2(tau, cosLambda)
    const eta = Math.asinh(Math.sin(lambda) / Math.hypot(tau, cosLambda))
    return addSeries(alpha, xi, eta, 1)
  }
  const xiOrigin = toUnit(meridian, options.originLatitude)[0]

  return {
    forward(longitude, latitude) {
      const [xi, eta] = toUnit(longitude, latitude)
      return [options.falseEasting + radius * eta, options.falseNorthing + radius * (xi - xiOrigin)]
    },
    inverse(x, y) {
      const xi = (y - options.falseNorthing) / radius + xiOrigin
      const [xiSphere, etaSphere] = addSeries(beta, xi, (x - options.falseEasting) / radius, -1)
      const [sinhEta, cosXi] = [Math.sinh(etaSphere), Math.cos(xiSphere)]
      const tau = Math.sin(xiSphere) / Math.hypot(sinhEta, cosXi)
      const longitude = meridian + Math.atan2(sinhEta, cosXi) / DEGREE
      return [longitudeWithin(longitude), Math.atan(geographicTangent(tau, e)) / DEGREE]
    },
  }
}

/** Longitude brought to the range -180 to 180; exact where it is in range. */
export function longitudeWithin(longitude: number): number {
  if (longitude >= -180 && longitude <= 180) return longitude
  const turned = (((longitude + 180) % 360) + 360) % 360
  return turned - 180
}

/** Longitude counted from a meridian, -180 to 180. */
const longitudeFrom = (meridian: number, longitude: number): number => longitudeWithin(longitude - meridian)

/** Equations 7-9: tangent of the conformal latitude from that of the geographic one. */
function conformalTangent(tau: number, e: number): number {
  const secant = Math.hypot(1, tau)
  const sigma = Math.sinh(e * Math.atanh((e * tau) / secant))
  return tau * Math.hypot(1, sigma) - sigma * secant
}

/** Equations 19-21: Newton's method; three rounds reach rounding error at every latitude. */
function geographicTangent(conformal: number, e: number): number {
  const e2m = 1 - e * e
  let tau = conformal / e2m
  for (let round = 0; round < 5; round++) {
    const reached = conformalTangent(tau, e)
    const step = (((conformal - reached) / Math.hypot(1, reached)) * (1 + e2m * tau * tau)) / (e2m * Math.hypot(1, tau))
    tau += step
    if (!(Math.abs(step) > 1e-15 * Math.max(1, Math.abs(tau)))) break
  }
  return tau
}

/** Adds `sign` times sum of c_j sin(2 j z) with z = xi + i eta, by recurrence of sin(2 j z) in j. */
function addSeries(series: readonly number[], xi: number, eta: number, sign: 1 | -1): [number, number] {
  const [sin2, cos2, sinh2, cosh2] = [Math.sin(2 * xi), Math.cos(2 * xi), Math.sinh(2 * eta), Math.cosh(2 * eta)]
  const [twoCosRe, twoCosIm] = [2 * cos2 * cosh2, -2 * sin2 * sinh2]
  let [re, im] = [sin2 * cosh2, cos2 * sinh2]
  let [lastRe, lastIm] = [0, 0]
  let [sumRe, sumIm] = [0, 0]
  for (const c of series) {
    sumRe += c * re
    sumIm += c * im
    const nextRe = twoCosRe * re - twoCosIm * im - lastRe
    const nextIm = twoCosRe * im + twoCosIm * re - lastIm
    lastRe = re
    lastIm = im
    re = nextRe
    im = nextIm
  }
  return [xi + sign * sumRe, eta + sign * sumIm]
}

/** Value of c0 n + c1 n^2 + ... times n^(first - 1). */
const powers = (n: number, first: number, coefficients: readonly number[]): number =>
  coefficients.reduceRight((sum, c) => sum * n + c, 0) * n ** first

/** Equation 35. */
const forwardSeries = (n: number): number[] => [
  powers(n, 1, [1 / 2, -2 / 3, 5 / 16, 41 / 180, -127 / 288, 7891 / 37800]),
  powers(n, 2, [13 / 48, -3 / 5, 557 / 1440, 281 / 630, -1983433 / 1935360]),
  powers(n, 3, [61 / 240, -103 / 140, 15061 / 26880, 167603 / 181440]),
  powers(n, 4, [49561 / 161280, -179 / 168, 6601661 / 7257600]),
  powers(n, 5, [34729 / 80640, -3418889 / 1995840]),
  powers(n, 6, [212378941 / 319334400]),
]

/** Equation 36. */
const inverseSeries = (n: number): number[] => [
  powers(n, 1, [1 / 2, -2 / 3, 37 / 96, -1 / 360, -81 / 512, 96199 / 604800]),
  powers(n, 2, [1 / 48, 1 / 15, -437 / 1440, 46 / 105, -1118711 / 3870720]),
  powers(n, 3, [17 / 480, -37 / 840, -209 / 4480, 5569 / 90720]),
  powers(n, 4, [4397 / 161280, -11 / 504, -830251 / 7257600]),
  powers(n, 5, [4583 / 161280, -108847 / 3991680]),
  powers(n, 6, [20648693 / 638668800]),
]
