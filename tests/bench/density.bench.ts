import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { createRandom, estimateDensity } from '../../core/stats/index.ts'
import { SEED } from './made-data.ts'
import { hasProgram, sayFigure, sayMissing, sayPeer, timeRuns } from './stopwatch.ts'

const [POINTS, NODES, SIDE, BANDWIDTH] = [100_000, 1000, 10_000, 60]

it('density of 100,000 points on 1,000 x 1,000 nodes, beside ks of R', async () => {
  const random = createRandom(SEED)
  const centres = Array.from({ length: 200 }, () => [random.next() * SIDE, random.next() * SIDE] as const)
  const [x, y] = [new Float64Array(POINTS), new Float64Array(POINTS)]
  const inside = (value: number) => Math.min(SIDE, Math.max(0, value))
  for (let i = 0; i < POINTS; i++) {
    const centre = centres[random.integer(centres.length)]!
    x[i] = inside(centre[0] + 150 * random.normal())
    y[i] = inside(centre[1] + 150 * random.normal())
  }
  const cell = SIDE / (NODES - 1)
  const grid = { west: 0, south: 0, cell, columns: NODES, rows: NODES }
  const points = { x, y, weight: new Float64Array(POINTS).fill(1) }
  const ours = await timeRuns(7, () => estimateDensity(points, [BANDWIDTH, BANDWIDTH], grid))
  const values = ours.result
  const peak = values.reduce((most, value) => Math.max(most, value), 0)
  // Sums over all points at 200 nodes, scaled alike by the sum over those nodes: the contour asks for shape, not for a unit.
  const nodes = Array.from({ length: 200 }, () => [random.integer(NODES), random.integer(NODES)] as const)
  const exact = nodes.map(([column, row]) => {
    let sum = 0
    for (let i = 0; i < POINTS; i++) {
      const square = (x[i]! - column * cell) ** 2 + (y[i]! - row * cell) ** 2
      if (square < (9 * BANDWIDTH) ** 2) sum += Math.exp(-square / (2 * BANDWIDTH ** 2))
    }
    return sum
  })
  const own = nodes.map(([column, row]) => values[row * NODES + column]!)
  const sum = (list: readonly number[]) => list.reduce((total, value) => total + value, 0)
  const scale = sum(own) / sum(exact)
  const apart = Math.max(...own.map((value, k) => Math.abs(value - scale * exact[k]!))) / peak
  expect(apart).toBeLessThan(1e-3)
  sayFigure(
    `density of ${POINTS} points on ${NODES} x ${NODES} nodes, within ${apart.toExponential(1)} of the peak`,
    ours,
  )
  if (!hasProgram('Rscript', '-e', 'library(ks)')) {
    sayMissing('ks', 'Debian: apt-get install r-cran-ks')
    return
  }
  const folder = mkdtempSync(join(tmpdir(), 'vinereach-bench-'))
  try {
    const file = join(folder, 'points')
    const rows = new Float64Array(2 * POINTS)
    for (let i = 0; i < POINTS; i++) rows.set([x[i]!, y[i]!], 2 * i)
    writeFileSync(file, rows)
    const script = new URL('./peers/density.R', import.meta.url).pathname
    const said = execFileSync('Rscript', [script, file, String(BANDWIDTH), String(SIDE), String(NODES)], {
      encoding: 'utf8',
    })
    const peer = JSON.parse(said) as { seconds: number; processor: number; peak: number }
    const exactPeak = peak / scale / (POINTS * 2 * Math.PI * BANDWIDTH ** 2)
    expect(Math.abs(peer.peak / exactPeak - 1)).toBeLessThan(1e-2)
    sayPeer(
      'R ks, binned, fixed bandwidth',
      ours,
      { seconds: [peer.seconds], processor: [peer.processor], result: null },
      `its peak is ${(peer.peak / exactPeak).toFixed(5)} of ours (its binning widens the kernel)`,
    )
  } finally {
    rmSync(folder, { recursive: true })
  }
})
