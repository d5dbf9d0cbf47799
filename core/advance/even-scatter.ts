/** Finds of one season nearer to each other than this count as one place seen more than once, metres. Source: by trial. */
const CLUMP_REACH = 30
/** Nor may they be left out over more than this share of a family's radius, or little is left to measure. Source: by trial. */
const CLUMP_SHARE = 0.5
/** Finds looked at in pairs: more would cost a square of their number and add nothing, because draws are averaged. */
const MOST_IN_PAIRS = 300

/** How near finds of a family with that radius (metres, over both seasons) must lie to count as one place. */
export const clumpReach = (radius: number): number => Math.min(CLUMP_REACH, CLUMP_SHARE * radius)

/**
 * Half the mean square distance of the pairs of places that lie farther apart than `reach`; without a reach it is the
 * unbiased variance. NaN where no pair does. Of many places the first ones stand for all: hand them in random order.
 */
export function farPairVariance(places: readonly (readonly number[])[], reach: number): number {
  const size = Math.min(places.length, MOST_IN_PAIRS)
  let [sum, pairs] = [0, 0]
  for (let i = 1; i < size; i++) {
    for (let j = 0; j < i; j++) {
      const square = squareDistance(places[i]!, places[j]!)
      if (square <= reach * reach) continue
      sum += square
      pairs++
    }
  }
  return sum / pairs / 2
}

/** How many of the places lie farther than `reach` from all that were counted before them. */
export function countApart(places: readonly (readonly number[])[], reach: number): number {
  const counted: (readonly number[])[] = []
  for (const place of places) {
    if (counted.every(other => squareDistance(place, other) > reach * reach)) counted.push(place)
    if (counted.length === MOST_IN_PAIRS) break
  }
  return counted.length
}

function squareDistance(a: readonly number[], b: readonly number[]): number {
  let sum = 0
  for (let k = 0; k < a.length; k++) sum += (a[k]! - b[k]!) ** 2
  return sum
}

/**
 * Variance (of both coordinates together, radius squared over 2) of the even disc whose far pairs have that variance.
 *
 * For a disc of radius R and pairs farther apart than t R: with a = arccos(t / 2),
 * P = 16/pi (integral of x cos x sin x - cos2 x sin2 x from 0 to a) of all pairs,
 * and their mean square over R2 is 64/pi (integral of x cos3 x sin x - cos4 x sin2 x from 0 to a) / P.
 * Source: the density of distances in a disc, 4 s / pi arccos(s / 2) - 2 s2 / pi sqrt(1 - s2 / 4) for R = 1 (Kendall and Moran
 * (1963) Geometrical Probability, 2.45; from memory, checked by drawing pairs), integrated with s = 2 cos x.
 */
export function evenDiscVariance(farVariance: number, reach: number): number {
  if (!(reach > 0)) return farVariance
  let [low, high] = [reach / WIDEST, Math.max(reach, Math.sqrt(2 * farVariance)) * 2]
  for (let step = 0; step < HALVINGS; step++) {
    const radius = (low + high) / 2
    if ((radius * radius * farShareOfSquare(reach / radius)) / 2 < farVariance) low = radius
    else high = radius
  }
  return ((low + high) / 2) ** 2 / 2
}

/** Past this share of the diameter nearly all pairs are left out. */
const WIDEST = 1.9
const HALVINGS = 40

/** Mean square over R2 of the pairs in a disc that lie farther apart than t R. */
function farShareOfSquare(t: number): number {
  const a = Math.acos(t / 2)
  const [sin2, sin4, sin6] = [Math.sin(2 * a), Math.sin(4 * a), Math.sin(6 * a)]
  const pairs = (-a * Math.cos(2 * a)) / 4 + sin2 / 8 - (a / 8 - sin4 / 32)
  const cos4 = (3 * a) / 8 + sin2 / 4 + sin4 / 32
  const squares = (-a * Math.cos(a) ** 4 + cos4) / 4 - (a / 16 + sin2 / 64 - sin4 / 64 - sin6 / 192)
  return (4 * squares) / pairs
}

/**
 * Length of the even strip whose far pairs have that variance: V = (L2 + 2 L d + 3 d2) / 12, from the density
 * 2 (L - s) / L2 of distances on a line.
 */
export function evenStripLength(farVariance: number, reach: number): number {
  return Math.sqrt(Math.max(0, 12 * farVariance - 2 * reach * reach)) - reach
}
