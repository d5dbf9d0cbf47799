/**
 * The p-quantile by linear interpolation between order statistics (type 7 of Hyndman and Fan; R's default).
 * Range: 0 <= p <= 1. Absent: NaN of nothing. Source: Hyndman and Fan (1996) Am. Stat. 50:361-365.
 */
export function quantile(values: Iterable<number>, p: number): number {
  const sorted = Float64Array.from(values).sort()
  return quantileOfSorted(sorted, p)
}

/** `quantile` of values that already rise. */
export function quantileOfSorted(sorted: ArrayLike<number>, p: number): number {
  if (!(p >= 0 && p <= 1)) throw new Error(`a quantile needs 0 <= p <= 1, got ${p}`)
  if (sorted.length === 0) return Number.NaN
  const place = p * (sorted.length - 1)
  const below = Math.floor(place)
  const [low, high] = [sorted[below]!, sorted[Math.min(below + 1, sorted.length - 1)]!]
  return low + (place - below) * (high - low)
}

/**
 * The p-quantile of weighted values: each value stands at the middle of its weight, the first and last at the ends,
 * linear between. With equal weights it is `quantile`. Weights of zero or less are left out.
 * Absent: NaN of nothing. Source: the type 7 rule carried over to weights; own convention.
 */
export function weightedQuantile(values: ArrayLike<number>, weights: ArrayLike<number>, p: number): number {
  if (!(p >= 0 && p <= 1)) throw new Error(`a quantile needs 0 <= p <= 1, got ${p}`)
  const order = Array.from({ length: values.length }, (_, i) => i)
    .filter(i => weights[i]! > 0)
    .sort((a, b) => values[a]! - values[b]! || weights[a]! - weights[b]!)
  if (order.length === 0) return Number.NaN
  const [first, last] = [order[0]!, order.at(-1)!]
  const total = order.reduce((sum, i) => sum + weights[i]!, 0)
  const target = weights[first]! / 2 + p * (total - weights[first]! / 2 - weights[last]! / 2)
  let [before, previous, place] = [0, first, weights[first]! / 2]
  for (const i of order) {
    const middle = before + weights[i]! / 2
    if (middle >= target && i !== previous) {
      const part = middle > place ? (target - place) / (middle - place) : 1
      return values[previous]! + Math.min(1, Math.max(0, part)) * (values[i]! - values[previous]!)
    }
    before += weights[i]!
    previous = i
    place = middle
  }
  return values[previous]!
}
