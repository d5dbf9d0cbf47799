import type { EdgeFamily, Interval, SeasonSightings, Task } from '../model/index.ts'
import { createRandom, studentTQuantile } from '../stats/index.ts'
import { drawFamilies, type FamilyDraw, FamilyRegister, MINIMUM_FINDS } from './edge-families.ts'
import { familyMoveAlongWater } from './family-along-water.ts'
import { gatherLooks, type Looks } from './match-effort.ts'
import { edgeMoveOverall, edgeMoveToward } from './moments.ts'
import type { Waterways } from './waterways.ts'

/** Families below which no interval is given. Source: exact definition of the edge move, by trial. */
export const MINIMUM_FAMILIES = 10
/** Shortest distance that families are linked over, metres, whatever the join distance. Source: the same. */
const SHORTEST_LINK = 60

/** How far the edge moved between two seasons, from the finds at matched effort. */
export interface EdgeMove {
  readonly move: number | null
  readonly interval: Interval | null
  readonly downstream: number | null
  readonly upstream: number | null
  readonly families: number
  readonly reason: string | null
  readonly arrows: readonly EdgeFamily[]
}

export interface EdgeMoveInput {
  readonly older: SeasonSightings
  readonly newer: SeasonSightings
  /** Join distance g, metres. */
  readonly join: number
  readonly draws: number
  readonly seed: number
  readonly waterways: Waterways | null
}

/** Estimates the edge move. Same finds, draws and seed give the same figures, in whatever order the reports come. */
export async function estimateEdgeMove(input: EdgeMoveInput, task: Task): Promise<EdgeMove> {
  const [older, newer] = [gatherLooks(input.older), gatherLooks(input.newer)]
  const reach = Math.max(input.join, SHORTEST_LINK)
  const random = createRandom(input.seed)
  const register = new FamilyRegister(older.looks.length <= newer.looks.length)
  for (let draw = 0; draw < input.draws; draw++) {
    await task.step(draw / input.draws, `Edge move, ${input.older.season} to ${input.newer.season}`)
    for (const family of drawFamilies(older, newer, reach, random)) register.add(family)
  }
  const families = register.families.map(draws =>
    summariseFamily(draws, { ...input, reach, olderLooks: older, newerLooks: newer }),
  )
  return combineFamilies(families, input)
}

interface FamilyMove {
  readonly arrow: EdgeFamily
  readonly move: number
  /** Finds a season, averaged over all draws: its weight. */
  readonly weight: number
  /** Whether it was there in at least half of the draws. */
  readonly isSteady: boolean
  readonly downstream: number | null
  readonly upstream: number | null
}

interface Drawn extends EdgeMoveInput {
  readonly reach: number
  readonly olderLooks: Looks
  readonly newerLooks: Looks
}

function summariseFamily(draws: readonly FamilyDraw[], input: Drawn): FamilyMove {
  const total = draws.reduce((sum, draw) => sum + draw.m, 0)
  const average = (value: (draw: FamilyDraw) => number) =>
    draws.reduce((sum, draw) => sum + draw.m * value(draw), 0) / total
  const x = average(draw => (draw.olderMoments.x + draw.newerMoments.x) / 2)
  const y = average(draw => (draw.olderMoments.y + draw.newerMoments.y) / 2)
  const shift = [
    average(draw => draw.newerMoments.x - draw.olderMoments.x),
    average(draw => draw.newerMoments.y - draw.olderMoments.y),
  ] as const
  const toward = (u: readonly [number, number]) =>
    average(draw => edgeMoveToward(draw.olderMoments, draw.newerMoments, u))
  const size = Math.hypot(...shift)
  const u = size > 0 ? ([shift[0] / size, shift[1] / size] as const) : ([1, 0] as const)
  const again = draws.map(draw => edgeMoveToward(draw.olderAgain, draw.newerAgain, u))
  const radius = average(draw => Math.sqrt(2 * (draw.newerMoments.xx + draw.newerMoments.yy)))
  const { olderLooks, newerLooks, waterways } = input
  const onWater = { older: olderLooks, newer: newerLooks, draws, x, y, maximum: radius + input.reach }
  const along = waterways && familyMoveAlongWater({ ...onWater, waterways })
  const move = average(draw => edgeMoveOverall(draw.olderMoments, draw.newerMoments))
  return {
    arrow: {
      from: input.older.season,
      to: input.newer.season,
      x,
      y,
      finds: [Math.round(average(draw => draw.older.length)), Math.round(average(draw => draw.newer.length))],
      edgeMove: move,
      shift,
      moveTowardShift: toward(u),
      moveStandardError: standardDeviation(again),
      isMerged: draws.filter(draw => draw.isMerged).length * 2 > draws.length,
    },
    move,
    weight: total / input.draws,
    isSteady: draws.length * 2 >= input.draws,
    downstream: along?.downstream ?? null,
    upstream: along?.upstream ?? null,
  }
}

function combineFamilies(families: readonly FamilyMove[], input: EdgeMoveInput): EdgeMove {
  const count = families.filter(family => family.isSteady).length
  const arrows = families.filter(family => family.isSteady).map(family => family.arrow)
  if (count === 0) {
    const reason = `No patch family has ${MINIMUM_FINDS} finds in both ${input.older.season} and ${input.newer.season} at equal effort.`
    return { move: null, interval: null, downstream: null, upstream: null, families: 0, reason, arrows }
  }
  const move = weightedMean(families, family => family.move)!
  const isEnough = count >= MINIMUM_FAMILIES
  return {
    move,
    interval: isEnough ? intervalBetween(families, move, count) : null,
    downstream: weightedMean(families, family => family.downstream),
    upstream: weightedMean(families, family => family.upstream),
    families: count,
    reason: isEnough
      ? null
      : `An interval between families needs ${MINIMUM_FAMILIES} patch families; there are ${count}.`,
    arrows,
  }
}

function weightedMean(families: readonly FamilyMove[], value: (family: FamilyMove) => number | null): number | null {
  let [sum, weights] = [0, 0]
  for (const family of families) {
    const own = value(family)
    if (own === null) continue
    sum += family.weight * own
    weights += family.weight
  }
  return weights > 0 ? sum / weights : null
}

/** e +- t sqrt(sum (w / W)^2 (e_i - e)^2 n / (n - 1)), 90 %, between families. */
function intervalBetween(families: readonly FamilyMove[], move: number, count: number): Interval {
  const total = families.reduce((sum, family) => sum + family.weight, 0)
  const square = families.reduce((sum, family) => sum + ((family.weight / total) * (family.move - move)) ** 2, 0)
  const reach = studentTQuantile(0.95, count - 1) * Math.sqrt((square * count) / (count - 1))
  return { low: move - reach, high: move + reach }
}

function standardDeviation(values: readonly number[]): number {
  const middle = values.reduce((sum, value) => sum + value, 0) / values.length
  const squares = values.reduce((sum, value) => sum + (value - middle) ** 2, 0)
  return values.length > 1 ? Math.sqrt(squares / (values.length - 1)) : 0
}
