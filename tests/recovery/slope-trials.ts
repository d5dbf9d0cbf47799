import { estimateEdgeMove, rateFromCumulated, rateFromSlope } from '../../core/advance/index.ts'
import { createTask, type Rate } from '../../core/model/index.ts'
import { createRandom, type Random } from '../../core/stats/index.ts'
import { makePatches, makeSeason } from './spreads.ts'
import { type Row, scoreShare } from './table.ts'

export const SEASONS = [3, 4, 5, 6] as const
/** Metres a season, and the error of one season's figure, metres. */
const [SPEED, ERROR] = [20, 6]
const FINDS = 600
const SLOPE_BOUNDS = [0.85, 0.95] as const

/** How often the interval of a rate holds the speed that was put in, on year by least squares. */
export function runSlopeTrial(seasons: number, runs: number): Row {
  const years = Array.from({ length: seasons }, (_, i) => 2020 + i)
  const rates: Rate[] = []
  for (let run = 0; run < runs; run++) {
    const random = createRandom(7000 + run)
    rates.push(rateFromSlope({ years, values: years.map((_, i) => 300 + SPEED * i + ERROR * random.normal()) }, '', ''))
  }
  return score(`slope on year, ${seasons} seasons: interval holds the speed`, rates)
}

/** The same for the edge move of simulated spreads, season after season. */
export async function runEdgeRateTrial(seasons: number, runs: number, draws: number): Promise<Row> {
  const rates: Rate[] = []
  for (let run = 0; run < runs; run++) rates.push(await edgeRate(seasons, draws, createRandom(9000 + run)))
  return score(`edge move added up on year, ${seasons} seasons: interval holds the speed`, rates)
}

async function edgeRate(seasons: number, draws: number, random: Random): Promise<Rate> {
  const patches = makePatches('round', random)
  const common = { shape: 'round', scatter: 'even', patches, count: FINDS } as const
  const finds = Array.from({ length: seasons }, (_, i) =>
    makeSeason({ ...common, season: String(2020 + i), growth: SPEED * i }, random),
  )
  const steps = []
  for (let i = 1; i < seasons; i++) {
    const pair = { older: finds[i - 1]!, newer: finds[i]! }
    const { move } = await estimateEdgeMove({ ...pair, join: 60, draws, seed: i, waterways: null }, createTask())
    steps.push({ years: 1, move })
  }
  return rateFromCumulated(steps, '', '')
}

function score(name: string, rates: readonly Rate[]): Row {
  const held = rates.filter(({ low, high }) => low !== null && high !== null && low <= SPEED && SPEED <= high).length
  return scoreShare(name, held / rates.length, rates.length, SLOPE_BOUNDS)
}
