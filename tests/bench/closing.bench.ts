import { expect, it } from 'vitest'
import { createArcsClosing, createGeosClosing, createPolygonEngine, planarArea } from '../../core/geo/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { SEED } from './made-data.ts'
import { sayFigure, sayPeer, timeRuns } from './stopwatch.ts'

it('the closing of 5,000 discs, beside GEOS', async () => {
  const random = createRandom(SEED)
  const centres = Array.from({ length: 400 }, () => [random.next() * 20_000, random.next() * 20_000] as const)
  const finds = Array.from({ length: 5000 }, () => {
    const [x, y] = centres[random.integer(centres.length)]!
    return [x + 60 * random.normal(), y + 60 * random.normal()] as const
  })
  const discs = {
    x: Float64Array.from(finds, find => find[0]),
    y: Float64Array.from(finds, find => find[1]),
    r: new Float64Array(finds.length).fill(15),
  }
  const geos = createGeosClosing(await createPolygonEngine(), 8)
  const arcs = createArcsClosing(geos, () => {
    throw new Error('the arcs did not close')
  })
  const ours = await timeRuns(5, () => arcs.close(discs, { half: 30, minimumHole: 0 }).shape)
  sayFigure('closing of 5,000 discs of 15 m, join 60 m, by exact arcs', ours)
  const theirs = await timeRuns(2, () => geos.close(discs, { half: 30, minimumHole: 0 }).shape, false)
  const ratio = planarArea(ours.result) / planarArea(theirs.result)
  expect(Math.abs(ratio - 1)).toBeLessThan(2e-3)
  sayPeer(
    'GEOS 3.13 through geos-wasm, 8 segments a quarter',
    ours,
    theirs,
    `area ${ratio.toFixed(6)} of its (tolerance 0.2 %)`,
  )
})
