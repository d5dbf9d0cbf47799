import { describe, expect, it } from 'vitest'
import { runEdgeTrial } from '../recovery/edge-trials.ts'
import { runJumpTrial } from '../recovery/jump-trials.ts'
import { runEdgeRateTrial, runSlopeTrial } from '../recovery/slope-trials.ts'
import { makeStreams } from '../recovery/spreads.ts'
import { formatTable, type Row } from '../recovery/table.ts'

/**
 * The recovery table with few runs, so that it goes with every test; `npm run -s recovery` prints it with 300.
 * Few runs vary: what is asked here is what the mean must reach even then, at least 3 standard errors off its bar.
 */
describe('recovery of what was put in, in short', () => {
  const meanOf = (row: Row) => Number(/^-?[\d.]+/.exec(row.got)![0])
  const shareOf = (row: Row) => Number(/^-?[\d.]+/.exec(row.got)![0]) / 100

  it('finds the edge move of round patches with finds in clumps at uneven effort', async () => {
    const waterways = await makeStreams()
    const common = { shape: 'round', scatter: 'clumped', runs: 16, draws: 6, waterways } as const
    const [still] = await runEdgeTrial({ ...common, effort: [300, 1200], move: 0 })
    const [moved] = await runEdgeTrial({ ...common, effort: [300, 1200], move: 60 })
    // Standard error about 1.3 m; without regard to clumps it was 6.5 m.
    expect(Math.abs(meanOf(still!))).toBeLessThan(5)
    expect(meanOf(moved!)).toBeGreaterThan(48)
    expect(meanOf(moved!)).toBeLessThan(66)
  })

  it('finds growth at the downstream end and none at the other', async () => {
    const waterways = await makeStreams()
    const [downstream, upstream] = await runEdgeTrial({
      ...{ shape: 'long', scatter: 'even', effort: [300, 1200], move: 60 },
      ...{ runs: 16, draws: 6, waterways },
    })
    expect(Math.abs(meanOf(downstream!) - 60)).toBeLessThan(10)
    expect(Math.abs(meanOf(upstream!))).toBeLessThan(9)
  })

  it('gives slopes whose interval holds the speed nine times in ten', async () => {
    // Of 400 runs at 0.9 all but one in a thousand such tests lie within 0.05.
    expect(Math.abs(shareOf(runSlopeTrial(4, 400)) - 0.9)).toBeLessThan(0.05)
    expect(shareOf(await runEdgeRateTrial(3, 10, 2))).toBeGreaterThan(0.6)
  })

  it('finds planted jumps and calls few others so', async () => {
    const rows = await runJumpTrial(600, 2)
    expect(shareOf(rows[0]!)).toBeGreaterThan(0.7)
    expect(shareOf(rows[1]!)).toBeLessThan(0.35)
    expect(formatTable(rows)).toMatch(/of 2 bars met/)
  })
})
