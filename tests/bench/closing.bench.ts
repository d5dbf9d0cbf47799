import { bench, describe } from 'vitest'
import { createPolygonEngine } from '../../core/geo/index.ts'
import { createArcsClosing, createGeosClosing } from '../../core/geo/index.ts'
import { createRandom } from '../../core/stats/index.ts'

/** 5,000 finds in 400 clusters, radius 15 m, join 60 m; the peer is GEOS through geos-wasm on the same discs. */
const random = createRandom(20251125)
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
const engine = await createPolygonEngine()
const geos = createGeosClosing(engine, 8)
const arcs = createArcsClosing(geos, () => {
  throw new Error('the arcs did not close')
})

describe('closing of 5,000 discs', () => {
  bench('exact arcs', () => void arcs.close(discs, { half: 30, minimumHole: 0 }))
  bench('GEOS, 8 segments a quarter', () => void geos.close(discs, { half: 30, minimumHole: 0 }), { iterations: 3 })
})
