import { describe, expect, it } from 'vitest'
import { estimateEdgeMove, waterwaysOf } from '../../core/advance/index.ts'
import { frameFromCrs } from '../../core/geo/index.ts'
import { createTask, type SeasonSightings } from '../../core/model/index.ts'
import { buildNetwork } from '../../core/network/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { linesLayer } from '../reference/network-lines.ts'
import { findAt, visitOf } from './advance-trial.ts'

const frame = frameFromCrs(
  '+proj=tmerc +lat_0=35.7 +lon_0=-45.8 +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m',
  new Float64Array([-45.8, 35.7]),
)
const at = (x: number, y: number) => frame.toGlobe(x, y)

/** An arm that comes down from the north-west to (0, 0) and runs on to the east. */
async function fork() {
  const network = await buildNetwork(
    {
      lines: linesLayer([
        { path: [at(-1000, 1000), at(0, 0)], attributes: { direction: 'with' } },
        { path: [at(0, 0), at(600, 0), at(1200, 0)], attributes: { direction: 'with' } },
      ]),
      fields: { direction: 'direction' },
      snap: 2,
      isNodingCrossings: false,
      outlets: [],
    },
    createTask(),
  )
  return waterwaysOf(network, frame)
}

describe('waterways of a reach network', () => {
  it('finds the nearest place within a distance, in metres of the working frame', async () => {
    const water = await fork()
    const place = water.placeOn(300, 12, 20)!
    expect(place.distance).toBeCloseTo(12, 2)
    expect(place.fraction * 1200).toBeCloseTo(300, 1)
    expect(water.placeOn(300, 25, 20)).toBeUndefined()
  })

  it('gives positions about a place, positive down the water, over joins and no farther than asked', async () => {
    const water = await fork()
    const [arm, east] = [water.placeOn(-300, 300, 5)!, water.placeOn(500, 0, 5)!]
    const apart = 300 * Math.SQRT2 + 500
    expect(water.positionsAbout(arm, 2000)(east)).toBeCloseTo(apart, 1)
    expect(water.positionsAbout(east, 2000)(arm)).toBeCloseTo(-apart, 1)
    expect(water.positionsAbout(east, 2000)(water.placeOn(700, 0, 5)!)).toBeCloseTo(200, 1)
    expect(water.positionsAbout(east, 2000)(water.placeOn(450, 0, 5)!)).toBeCloseTo(-50, 1)
    expect(water.positionsAbout(east, 900)(arm)).toBeNaN()
  })

  it('measures the edge move along a bend by network distance, where a chord would not', async () => {
    // Water that comes down from the north to (0, 0) and turns east: the patch lies in the bend and grows 60 m east.
    const network = await buildNetwork(
      {
        lines: linesLayer([{ path: [at(0, 2000), at(0, 0), at(2000, 0)], attributes: { direction: 'with' } }]),
        fields: { direction: 'direction' },
        snap: 2,
        isNodingCrossings: false,
        outlets: [],
      },
      createTask(),
    )
    const waterways = waterwaysOf(network, frame)
    const season = (name: string, count: number, end: number, seed: number): SeasonSightings => {
      const random = createRandom(seed)
      const finds = Array.from({ length: count }, (_, i) => {
        const along = -200 + (200 + end) * random.next()
        const [x, y] = along < 0 ? [0, -along] : [along, 0]
        return findAt(`${name}-${i}`, name, x + 10 * random.next() - 5, y + 10 * random.next() - 5)
      })
      return { season: name, finds, visits: finds.map(visitOf) }
    }
    const [older, newer] = [season('2023', 4000, 200, 1), season('2024', 4000, 260, 2)]
    const move = await estimateEdgeMove({ older, newer, join: 60, draws: 3, seed: 1, waterways }, createTask())
    // Of an even strip of length L that grows 60 m at one end: 30 + 2 x 60 / sqrt(12) = 64.6 m, and 4.6 m at the other.
    // Standard error: about 2 x 400 / sqrt(4000) = 6 m for the sum of its parts.
    expect(Math.abs(move.downstream! - (30 + 120 / Math.sqrt(12)))).toBeLessThan(12)
    expect(Math.abs(move.upstream! - (120 / Math.sqrt(12) - 30))).toBeLessThan(12)
  })

  it('measures down the water and up it', async () => {
    const water = await fork()
    const [arm, east] = [water.placeOn(-300, 300, 5)!, water.placeOn(500, 0, 5)!]
    const expected = 300 * Math.SQRT2 + 500
    // The frame's scale is within 1e-7 of 1 so near its meridian.
    expect(water.distanceDownstream([arm], [east])[0]).toBeCloseTo(expected, 1)
    expect(water.distanceDownstream([east], [arm])[0]).toBe(Number.POSITIVE_INFINITY)
    expect(water.distanceUpstream([east], [arm])[0]).toBeCloseTo(expected, 1)
  })
})
