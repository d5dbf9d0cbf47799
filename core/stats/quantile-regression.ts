/** A line below which a share tau of the points lies. */
export interface QuantileLine {
  readonly slope: number
  readonly intercept: number
}

/** Doublings and halvings of the slope's bracket: past these it is one unit in the last place wide. */
const MAXIMUM_STEPS = 2200

/**
 * The tau-quantile line of y on x, exact: it passes through (at least) two of the points.
 *
 * For a given slope the best intercept is the tau-quantile of y - slope x; what is left is a convex, piecewise linear
 * function of the slope, whose kinks are where the point at the quantile changes. Halving by the sign of the slope's
 * derivative ends between two such points, and the line through both is the answer.
 *
 * Range: 0 < tau < 1, at least two different x. Where several lines are equally good, one of them.
 * Accuracy and cost: rounding only; about 60 sorts of n numbers.
 * Source: Koenker and Bassett (1978) Econometrica 46:33-50 (the criterion, and that a solution passes through two points).
 */
export function quantileRegression(x: readonly number[], y: readonly number[], tau: number): QuantileLine {
  if (!(tau > 0 && tau < 1)) throw new Error(`quantile regression needs 0 < tau < 1, got ${tau}`)
  const isVaried = x.some(value => value !== x[0])
  if (!isVaried || x.length !== y.length) throw new Error('quantile regression needs pairs with different x')
  // Centred, so that years such as 2020 do not cost digits.
  const [shiftX, shiftY] = [x[0]!, y[0]!]
  const points = { x: x.map(value => value - shiftX), y: y.map(value => value - shiftY) }
  const [low, high] = bracketSlope(points, tau)
  const [a, b] = [quantilePoint(points, tau, low).point, quantilePoint(points, tau, high).point]
  const run = points.x[b]! - points.x[a]!
  const slope = run === 0 ? low : (points.y[b]! - points.y[a]!) / run
  const intercept = points.y[a]! - slope * points.x[a]!
  return { slope, intercept: intercept + shiftY - slope * shiftX }
}

interface Points {
  readonly x: readonly number[]
  readonly y: readonly number[]
}

function bracketSlope(points: Points, tau: number): [low: number, high: number] {
  let [low, high] = [-1, 1]
  for (let i = 0; i < MAXIMUM_STEPS && quantilePoint(points, tau, low).derivative > 0; i++) low *= 2
  for (let i = 0; i < MAXIMUM_STEPS && quantilePoint(points, tau, high).derivative < 0; i++) high *= 2
  for (let i = 0; i < MAXIMUM_STEPS; i++) {
    const middle = low + (high - low) / 2
    if (middle <= low || middle >= high) break
    if (quantilePoint(points, tau, middle).derivative < 0) low = middle
    else high = middle
  }
  return [low, high]
}

/** The point at the tau-quantile of the residuals for a slope, and how the criterion changes with the slope there. */
function quantilePoint(points: Points, tau: number, slope: number): { point: number; derivative: number } {
  const residual = points.y.map((value, i) => value - slope * points.x[i]!)
  const order = residual
    .map((_, i) => i)
    .sort((a, b) => residual[a]! - residual[b]! || points.x[a]! - points.x[b]! || a - b)
  const rank = Math.min(order.length, Math.max(1, Math.ceil(tau * order.length - 1e-9))) - 1
  let [sum, pull] = [0, 0]
  order.forEach((i, place) => {
    if (place === rank) return
    const weight = place > rank ? tau : tau - 1
    sum += weight
    pull += weight * points.x[i]!
  })
  const point = order[rank]!
  return { point, derivative: -(pull - sum * points.x[point]!) }
}
