import { describe, expect, it } from 'vitest'
import { waterwaysOf } from '../../core/advance/index.ts'
import { frameFromCrs } from '../../core/geo/index.ts'
import { createTask } from '../../core/model/index.ts'
import { buildNetwork } from '../../core/network/index.ts'
import { linesLayer } from '../reference/network-lines.ts'

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

  it('tells which way the water runs, over a chord that ends with the reach', async () => {
    const water = await fork()
    const [dx, dy] = water.downstreamDirection(water.placeOn(300, 0, 5)!, 100)!
    expect(dx).toBeCloseTo(1, 6)
    expect(dy).toBeCloseTo(0, 4)
    const [armX, armY] = water.downstreamDirection(water.placeOn(-20, 20, 5)!, 4000)!
    expect(armX).toBeCloseTo(Math.SQRT1_2, 5)
    expect(armY).toBeCloseTo(-Math.SQRT1_2, 5)
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
