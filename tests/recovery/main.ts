import { EFFORTS, MOVES, runEdgeTrial, SPREADS } from './edge-trials.ts'
import { makeStreams } from './spreads.ts'
import { formatTable, type Row } from './table.ts'

const runs = Number(process.argv[2] ?? 300)
const waterways = await makeStreams()
const rows: Row[] = []
for (const spread of SPREADS)
  for (const move of MOVES)
    for (const effort of EFFORTS)
      rows.push(...(await runEdgeTrial({ ...spread, move, effort, runs, draws: 10, waterways })))
process.stdout.write(`${formatTable(rows)}\n`)
