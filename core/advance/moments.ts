import { evenDiscVariance, farPairVariance } from './even-scatter.ts'

/** Mean position and mean squares about it of a set of finds; what every measure of a family's edge is made of. */
export interface Moments {
  readonly x: number
  readonly y: number
  readonly xx: number
  readonly xy: number
  readonly yy: number
  /** How many finds they are of. */
  readonly count: number
  /** Mean square distance from the true mean: unbiased, and where it was seen to, not made small by finds in clumps. */
  readonly square: number
}

/** Mean and mean squares of the places at `members`; each divided by their number. */
export function momentsOf(x: ArrayLike<number>, y: ArrayLike<number>, members: readonly number[]): Moments {
  const n = members.length
  let [sumX, sumY] = [0, 0]
  for (const i of members) {
    sumX += x[i]!
    sumY += y[i]!
  }
  const [meanX, meanY] = [sumX / n, sumY / n]
  let [xx, xy, yy] = [0, 0, 0]
  for (const i of members) {
    const [dx, dy] = [x[i]! - meanX, y[i]! - meanY]
    xx += dx * dx
    xy += dx * dy
    yy += dy * dy
  }
  return { x: meanX, y: meanY, xx: xx / n, xy: xy / n, yy: yy / n, count: n, square: (xx + yy) / (n - 1) }
}

/** Moments with a mean square that clumps of finds nearer than `reach` do not make small. */
export function withoutClumps(moments: Moments, places: readonly (readonly number[])[], reach: number): Moments {
  const far = farPairVariance(places, reach)
  return Number.isNaN(far) ? moments : { ...moments, square: evenDiscVariance(far, reach) }
}

/**
 * How far the edge moved overall: change of sqrt(2) x root mean square distance from the middle of both seasons' means,
 * which is the radius of the even disc with that scatter.
 *
 * The squares are unbiased, and so is that of the distance between the means: that of all pairs across the seasons less
 * those within each. Taken as they are, ten finds a family made a 60 m move 52.
 * Range: two or more finds in each season.
 */
export function edgeMoveOverall(older: Moments, newer: Moments): number {
  const [dx, dy] = [newer.x - older.x, newer.y - older.y]
  const across = older.xx + older.yy + newer.xx + newer.yy + dx * dx + dy * dy
  const apart = (across - older.square - newer.square) / 4
  return Math.SQRT2 * (Math.sqrt(Math.max(0, newer.square + apart)) - Math.sqrt(Math.max(0, older.square + apart)))
}

/** How far the edge moved toward a direction (unit vector): shift of the mean along it and change of 2 standard deviations. */
export function edgeMoveToward(older: Moments, newer: Moments, [ux, uy]: readonly [number, number]): number {
  const shift = (newer.x - older.x) * ux + (newer.y - older.y) * uy
  return shift + 2 * (spreadAlong(newer, ux, uy) - spreadAlong(older, ux, uy))
}

function spreadAlong({ xx, xy, yy, square }: Moments, ux: number, uy: number): number {
  const [whole, along] = [xx + yy, ux * ux * xx + 2 * ux * uy * xy + uy * uy * yy]
  return whole > 0 ? Math.sqrt(Math.max(0, (along / whole) * square)) : 0
}
