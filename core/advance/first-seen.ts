import { azimuthBetween, type WorkingFrame } from '../geo/index.ts'
import type { FirstSeenPlace, FirstSeenSurface, Task } from '../model/index.ts'
import { createRandom, type Random } from '../stats/index.ts'
import { type CellGrid, createCellGrid } from './cell-grid.ts'
import type { FirstCell } from './first-cells.ts'

/**
 * Neighbourhoods of a place, in cells: the smallest that holds enough is taken, because a plane laid over a whole round
 * patch is flat. Source: by trial on round fronts of 10-100 m a year.
 */
const REACHES_IN_CELLS = [3, 4, 6, 9, 12] as const
/** Neighbours and seasons among them that a speed needs. Source: common practice, no source. */
const [FEWEST_NEIGHBOURS, FEWEST_SEASONS] = [10, 3]
/** Draws with the neighbours resampled, and how well their directions must agree (length of the mean unit vector). */
const [DRAWS, AGREEMENT] = [30, 0.9]
/** Places between two steps of the task. */
const CHUNK = 100

export interface FirstSeenInput {
  readonly cells: readonly FirstCell[]
  readonly cell: number
  readonly seed: number
  readonly frame: WorkingFrame
}

/**
 * When each place was first seen infested, smoothed, and where the front went there and how fast.
 *
 * At each cell a plane t = a + b x + c y is fitted to the years of first sight around it (3 to 12 cells, as few as hold ten
 * neighbours of three seasons), nearer ones weighing more; a is the smoothed year, the front runs along (b, c), at 1 / |(b, c)|. A place has no speed where data are thin:
 * under ten neighbours or three seasons among them, or where the direction does not hold when neighbours are drawn again
 * (seeded). Jumps are left out.
 * Source: local regression with tricube weights, Cleveland (1979) JASA 74:829-836; that the front passes along the
 * gradient of its time of arrival at one over its length is geometry.
 */
export async function buildFirstSeen(
  { cells, cell, seed, frame }: FirstSeenInput,
  task: Task,
): Promise<FirstSeenSurface> {
  const random = createRandom(seed)
  const known = cells.filter(({ isJump }) => !isJump)
  const grid = createCellGrid(known, cell)
  const places: FirstSeenPlace[] = []
  for (const [i, { x, y, year }] of known.entries()) {
    if (i % CHUNK === 0) await task.step(i / known.length, 'When each place was first seen')
    const near = neighboursOf(grid, x, y, cell)
    const plane = fitPlane(near)
    const [longitude, latitude] = frame.toGlobe(x, y)
    const front = plane === null ? THIN : frontOf(near, plane, random)
    const azimuth = front.speed === null || plane === null ? null : directionOf(plane, { x, y, cell, frame })
    places.push({ longitude, latitude, year: plane?.t ?? year, speed: front.speed, azimuth })
  }
  return { cell, places }
}

interface Neighbour {
  readonly dx: number
  readonly dy: number
  readonly year: number
  readonly weight: number
}

function neighboursOf(grid: CellGrid<FirstCell>, x: number, y: number, cell: number): Neighbour[] {
  let near: Neighbour[] = []
  for (const cells of REACHES_IN_CELLS) {
    const reach = cells * cell
    near = grid.within(x, y, reach).map(one => weigh(one, x, y, reach))
    if (isEnough(near)) break
  }
  return near
}

const isEnough = (near: readonly Neighbour[]): boolean =>
  near.length >= FEWEST_NEIGHBOURS && new Set(near.map(({ year }) => year)).size >= FEWEST_SEASONS

function weigh({ x, y, year }: FirstCell, x0: number, y0: number, reach: number): Neighbour {
  const [dx, dy] = [x - x0, y - y0]
  const weight = (1 - (Math.hypot(dx, dy) / reach) ** 3) ** 3
  return { dx, dy, year, weight }
}

interface Plane {
  readonly t: number
  readonly gx: number
  readonly gy: number
}

/** Weighted least squares; null where the neighbours do not span a plane. */
function fitPlane(near: readonly Neighbour[]): Plane | null {
  let [w, wx, wy, wt] = [0, 0, 0, 0]
  for (const { dx, dy, year, weight } of near) {
    w += weight
    wx += weight * dx
    wy += weight * dy
    wt += weight * year
  }
  if (!(w > 0)) return null
  const [mx, my, mt] = [wx / w, wy / w, wt / w]
  let [xx, xy, yy, xt, yt] = [0, 0, 0, 0, 0]
  for (const { dx, dy, year, weight } of near) {
    const [x, y, t] = [dx - mx, dy - my, year - mt]
    xx += weight * x * x
    xy += weight * x * y
    yy += weight * y * y
    xt += weight * x * t
    yt += weight * y * t
  }
  const determinant = xx * yy - xy * xy
  // A row of cells spans no plane: the smaller axis would be made of rounding.
  if (!(determinant > 1e-6 * (xx + yy) ** 2)) return null
  const [gx, gy] = [(xt * yy - yt * xy) / determinant, (yt * xx - xt * xy) / determinant]
  return { t: mt - gx * mx - gy * my, gx, gy }
}

const THIN = { speed: null } as const

/** Speed along the gradient; none where data are thin or the direction does not hold. */
function frontOf(near: readonly Neighbour[], plane: Plane, random: Random): Pick<FirstSeenPlace, 'speed'> {
  const slope = Math.hypot(plane.gx, plane.gy)
  if (!isEnough(near) || !(slope > 0)) return THIN
  let [sumX, sumY] = [0, 0]
  for (let draw = 0; draw < DRAWS; draw++) {
    const again = fitPlane(near.map(() => near[random.integer(near.length)]!))
    const size = again === null ? 0 : Math.hypot(again.gx, again.gy)
    if (again === null || size === 0) continue
    sumX += again.gx / size
    sumY += again.gy / size
  }
  return Math.hypot(sumX, sumY) / DRAWS < AGREEMENT ? THIN : { speed: 1 / slope }
}

interface Standpoint {
  readonly x: number
  readonly y: number
  readonly cell: number
  readonly frame: WorkingFrame
}

/** Degrees clockwise from true north in which the years rise. */
function directionOf({ gx, gy }: Plane, { x, y, cell, frame }: Standpoint): number {
  const size = Math.hypot(gx, gy)
  const ahead = frame.toGlobe(x + (cell * gx) / size, y + (cell * gy) / size)
  return (azimuthBetween(...frame.toGlobe(x, y), ...ahead) + 360) % 360
}
