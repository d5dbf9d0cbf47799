import { EFFORTS, MOVES, runEdgeTrial, SPREADS } from './edge-trials.ts'
import { JUMP_FINDS, runJumpTrial } from './jump-trials.ts'
import { runEdgeRateTrial, runSlopeTrial, SEASONS } from './slope-trials.ts'
import { makeStreams } from './spreads.ts'
import { formatTable, type Row } from './table.ts'

/**
 * The recovery table: what the front measures make of spreads whose truth is known. `npm run -s recovery -- [RUNS]`,
 * 300 runs a row unless told otherwise. A missed bar is said in the table; the exit status is 0 then too.
 */
async function main(runs: number): Promise<void> {
  if (!(Number.isInteger(runs) && runs > 1)) throw new Error('runs must be a whole number above 1')
  const say = (note: string) => process.stderr.write(`${note}\n`)
  const waterways = await makeStreams()
  const rows: Row[] = []
  for (const spread of SPREADS) {
    say(`${spread.shape} patches, ${spread.scatter} finds`)
    for (const move of MOVES) {
      for (const effort of EFFORTS) {
        rows.push(...(await runEdgeTrial({ ...spread, move, effort, runs, draws: 10, waterways })))
      }
    }
  }
  say('rates')
  for (const seasons of SEASONS) rows.push(runSlopeTrial(seasons, runs))
  for (const seasons of SEASONS) rows.push(await runEdgeRateTrial(seasons, runs, 5))
  say('jumps')
  for (const finds of JUMP_FINDS) rows.push(...(await runJumpTrial(finds, Math.ceil(runs / 5))))
  process.stdout.write(`${formatTable(rows)}\n`)
}

await main(Number(process.argv[2] ?? 300))
