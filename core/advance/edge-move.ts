import type { EdgeFamily, Interval, SeasonSightings, Task } from '../model/index.ts'
import { createRandom, studentTQuantile } from '../stats/index.ts'
import { drawFamilies, type FamilyDraw, FamilyRegister, MINIMUM_FINDS, MINIMUM_PLACES } from './edge-families.ts'
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
  readonly downstreamInterval: Interval | null
  readonly upstream: number | null
  readonly upstreamInterval: Interval | null
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
  const steady = families.filter(family => family.isSteady)
  const count = steady.length
  const arrows = steady.map(family => family.arrow)
  const overall = count === 0 ? NOTHING : meanBetween(families, family => family.move)
  const downstream = count === 0 ? NOTHING : meanBetween(families, family => family.downstream)
  const upstream = count === 0 ? NOTHING : meanBetween(families, family => family.upstream)
  return {
    move: overall.value,
    interval: overall.interval,
    downstream: downstream.value,
    downstreamInterval: downstream.interval,
    upstream: upstream.value,
    upstreamInterval: upstream.interval,
    families: count,
    reason: reasonFor(count, input),
    arrows,
  }
}

function reasonFor(count: number, { older, newer }: EdgeMoveInput): string | null {
  if (count === 0) {
    return `No patch family has ${MINIMUM_FINDS} finds in ${MINIMUM_PLACES} places apart in both ${older.season} and ${newer.season} at equal effort.`
  }
  if (count >= MINIMUM_FAMILIES) return null
  return `An interval between families needs ${MINIMUM_FAMILIES} patch families; there are ${count}.`
}

interface Between {
  readonly value: number | null
  readonly interval: Interval | null
}

const NOTHING: Between = { value: null, interval: null }

/**
 * Mean over families weighted by their finds, e, with the 90 % interval between families,
 * e +- t sqrt(sum (w / W)^2 (e_i - e)^2 n / (n - 1)); no interval under ten families.
 */
function meanBetween(families: readonly FamilyMove[], value: (family: FamilyMove) => number | null): Between {
  const known = families.flatMap(family => {
    const own = value(family)
    return own === null ? [] : [{ own, weight: family.weight, isSteady: family.isSteady }]
  })
  const total = known.reduce((sum, { weight }) => sum + weight, 0)
  if (!(total > 0)) return NOTHING
  const mean = known.reduce((sum, { own, weight }) => sum + weight * own, 0) / total
  const count = known.filter(({ isSteady }) => isSteady).length
  if (count < MINIMUM_FAMILIES) return { value: mean, interval: null }
  const square = known.reduce((sum, { own, weight }) => sum + ((weight / total) * (own - mean)) ** 2, 0)
  const reach = studentTQuantile(0.95, count - 1) * Math.sqrt((square * count) / (count - 1))
  return { value: mean, interval: { low: mean - reach, high: mean + reach } }
}

function standardDeviation(values: readonly number[]): number {
  const middle = values.reduce((sum, value) => sum + value, 0) / values.length
  const squares = values.reduce((sum, value) => sum + (value - middle) ** 2, 0)
  return values.length > 1 ? Math.sqrt(squares / (values.length - 1)) : 0
}
