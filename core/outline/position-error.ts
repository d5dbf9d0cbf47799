import type { Circles, ClosingEngine } from '../geo/index.ts'
import type { Interval, Task } from '../model/index.ts'
import { factorTo95 } from '../model/index.ts'
import { createRandom, quantile } from '../stats/index.ts'
import { circlesOf, type Disc } from './discs.ts'

/** Areas after displacement over the area without it. */
export interface AreaRatios {
  readonly gross: Interval
  readonly infested: Interval
}

export interface ErrorDraws {
  readonly closing: ClosingEngine
  readonly half: number
  readonly draws: number
  readonly seed: number
}

/**
 * How the areas of a patch change when each place is displaced at random within its own position error: the 5 % and
 * 95 % quantile over seeded draws, as ratios to the areas as drawn, widened where need be to hold 1.
 * The finds of the patch stay its finds, also where displacement parts them. A displacement is circular normal with the
 * place's 95 % radius. Absent: null without draws.
 */
export async function estimateAreaRatios(
  discs: readonly Disc[],
  { closing, half, draws, seed }: ErrorDraws,
  task: Task,
): Promise<AreaRatios | null> {
  if (draws < 1) return null
  // A disc alone is moved, not changed.
  if (discs.length === 1) return { gross: { low: 1, high: 1 }, infested: { low: 1, high: 1 } }
  const still = circlesOf(discs)
  const [grossStill, infestedStill] = [closing.closedArea(still, half), closing.closedArea(still, 0)]
  const random = createRandom(seed ^ hashReports(discs))
  const sigmas = discs.map(disc => disc.accuracy95 / factorTo95(ONE_SIGMA))
  const gross: number[] = []
  const infested: number[] = []
  for (let draw = 0; draw < draws; draw++) {
    if ((draw * discs.length) % STEP_EVERY < discs.length)
      await task.step(draw / draws, 'Displacing finds within their position error')
    const moved: Circles = {
      x: still.x.map((x, i) => x + sigmas[i]! * random.normal()),
      y: still.y.map((y, i) => y + sigmas[i]! * random.normal()),
      r: still.r,
    }
    gross.push(closing.closedArea(moved, half) / grossStill)
    infested.push(closing.closedArea(moved, 0) / infestedStill)
  }
  return { gross: intervalOf(gross), infested: intervalOf(infested) }
}

/** Share of a circular normal within one standard deviation of a coordinate: 1 - exp(-1/2). */
const ONE_SIGMA = 1 - Math.exp(-0.5)
/** Discs displaced between two steps of the task; about 40 ms. */
const STEP_EVERY = 2000

const intervalOf = (ratios: readonly number[]): Interval => ({
  low: Math.min(1, quantile(ratios, 0.05)),
  high: Math.max(1, quantile(ratios, 0.95)),
})

/** A number from the reports behind the discs, so that a patch draws the same whatever stands beside it. */
function hashReports(discs: readonly Disc[]): number {
  let hash = 0x811c9dc5
  for (const { finds } of discs) {
    for (const { reportId } of finds) {
      for (let i = 0; i < reportId.length; i++) hash = Math.imul(hash ^ reportId.charCodeAt(i), 0x01000193)
    }
  }
  return hash
}
