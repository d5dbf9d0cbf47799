import { type EdgeMove, estimateEdgeMove, type Waterways } from '../../core/advance/index.ts'
import { createTask, type Interval } from '../../core/model/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { makePatches, makeSeason, type Spread } from './spreads.ts'
import { type Coverage, countCovered, type Row, scoreMove } from './table.ts'

/** Finds of the older and the newer season: effort 1:1, 1:4 and 4:1. */
export const EFFORTS = [
  [300, 300],
  [300, 1200],
  [1200, 300],
] as const
export const MOVES = [0, 20, 60] as const
export const SPREADS: readonly Spread[] = [
  { shape: 'round', scatter: 'even' },
  { shape: 'round', scatter: 'clumped' },
  { shape: 'long', scatter: 'even' },
  { shape: 'long', scatter: 'clumped' },
]

export interface TrialInput extends Spread {
  readonly effort: readonly [older: number, newer: number]
  readonly move: number
  readonly runs: number
  readonly draws: number
  readonly waterways: Waterways
}

/** One row for each measure of the edge move that has a truth in this spread. */
export async function runEdgeTrial(input: TrialInput): Promise<Row[]> {
  const results: EdgeMove[] = []
  for (let run = 0; run < input.runs; run++) results.push(await runOnce(input, run))
  const { shape, scatter, effort, move } = input
  const name = `${shape}, ${scatter}, ${effort[0]}:${effort[1]} finds, ${move} m`
  const row = (measure: string, truth: number, value: (one: EdgeMove) => number | null, interval: IntervalOf): Row =>
    scoreMove({
      name: `${name}: ${measure}`,
      truth,
      values: results.map(value),
      coverage: coverageOf(results, truth, interval),
    })
  const overall = row(
    'overall',
    move,
    one => one.move,
    one => one.interval,
  )
  if (shape === 'round') return [overall]
  const downstream = row(
    'downstream',
    move,
    one => one.downstream,
    one => one.downstreamInterval,
  )
  const upstream = row(
    'upstream, where nothing grows',
    0,
    one => one.upstream,
    one => one.upstreamInterval,
  )
  // A strip that grows at one end has no radius whose change would be the truth; without growth it is nothing.
  return move === 0 ? [overall, downstream, upstream] : [downstream, upstream]
}

type IntervalOf = (one: EdgeMove) => Interval | null

function coverageOf(results: readonly EdgeMove[], truth: number, interval: IntervalOf): Coverage {
  return countCovered(
    results.map(one => interval(one)),
    truth,
  )
}

function runOnce(input: TrialInput, run: number): Promise<EdgeMove> {
  const { effort, move, waterways } = input
  const random = createRandom(1 + run)
  const patches = makePatches(input.shape, random)
  const older = makeSeason({ ...input, season: '2023', patches, growth: 0, count: effort[0] }, random)
  const newer = makeSeason({ ...input, season: '2024', patches, growth: move, count: effort[1] }, random)
  const water = input.shape === 'long' ? waterways : null
  return estimateEdgeMove({ older, newer, join: 60, draws: input.draws, seed: 1 + run, waterways: water }, createTask())
}
