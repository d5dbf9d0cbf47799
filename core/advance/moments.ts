/** Mean position and mean squares about it of a set of finds; what every measure of a family's edge is made of. */
export interface Moments {
  readonly x: number
  readonly y: number
  readonly xx: number
  readonly xy: number
  readonly yy: number
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
  return { x: meanX, y: meanY, xx: xx / n, xy: xy / n, yy: yy / n }
}

/**
 * How far the edge moved overall: change of sqrt(2) x root mean square distance from the mean of both seasons' means,
 * which is the radius of the even disc with that scatter.
 */
export function edgeMoveOverall(older: Moments, newer: Moments): number {
  const [dx, dy] = [(newer.x - older.x) / 2, (newer.y - older.y) / 2]
  const apart = dx * dx + dy * dy
  return Math.SQRT2 * (Math.sqrt(newer.xx + newer.yy + apart) - Math.sqrt(older.xx + older.yy + apart))
}

/** How far the edge moved toward a direction (unit vector): shift of the mean along it and change of 2 standard deviations. */
export function edgeMoveToward(older: Moments, newer: Moments, [ux, uy]: readonly [number, number]): number {
  const shift = (newer.x - older.x) * ux + (newer.y - older.y) * uy
  return shift + 2 * (spreadAlong(newer, ux, uy) - spreadAlong(older, ux, uy))
}

const spreadAlong = (set: Moments, ux: number, uy: number): number =>
  Math.sqrt(Math.max(0, ux * ux * set.xx + 2 * ux * uy * set.xy + uy * uy * set.yy))
