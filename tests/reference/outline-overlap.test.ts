import { describe, expect, it } from 'vitest'
import { createPolygonEngine, isPlainlySimple, planarArea, prepareOverlap } from '../../core/geo/index.ts'
import type { MultiPolygon, Ring } from '../../core/model/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { checkAll } from './check.ts'

const engine = await createPolygonEngine()
const box = (west: number, south: number, east: number, north: number): MultiPolygon => [
  [Float64Array.of(west, south, east, south, east, north, west, north, west, south)],
]

function star(x: number, y: number, radius: number, corners: number): Ring {
  const ring = new Float64Array(2 * corners + 2)
  for (let k = 0; k <= corners; k++) {
    const angle = (2 * Math.PI * (k % corners)) / corners
    const reach = radius * (1 + 0.6 * Math.sin(5 * angle))
    ring[2 * k] = x + reach * Math.cos(angle)
    ring[2 * k + 1] = y + reach * Math.sin(angle)
  }
  return ring
}

describe('ground that two shapes share', () => {
  // GEOS 3.13 (geos-wasm), intersection; coordinates as far from the origin as a national grid's.
  it('agrees with GEOS on concave shapes with holes and parts', () => {
    const random = createRandom(51)
    const pairs: [expected: number, got: number][] = []
    for (let k = 0; k < 300; k++) {
      const origin = k % 2 === 0 ? 0 : 4e6
      const patch = [
        [star(origin, origin, 100, 60), star(origin, origin, 30, 20)],
        [star(origin + 400, origin + 20, 80, 40)],
      ]
      const [x, y] = [origin + 600 * random.next() - 100, origin + 200 * random.next() - 100]
      const parcel = k % 3 === 0 ? box(x, y, x + 60, y + 45) : [[star(x, y, 20 + 80 * random.next(), 30)]]
      const expected = planarArea(engine.intersection(patch, parcel))
      pairs.push([expected, prepareOverlap(patch)(parcel).area])
    }
    expect(pairs.filter(([expected]) => expected > 0).length).toBeGreaterThan(100)
    // Crossings computed at coordinates of 4e6 m are good to 1e-9 m, along boundaries of some hundred metres.
    const tolerance = { share: 1e-9, within: 1e-7 }
    checkAll({ what: 'ground of a patch in a parcel, m2', source: 'GEOS intersection, run now', ...tolerance, pairs })
  })

  it('shared edges and corners, one in the other, and the same shape', () => {
    const overlap = prepareOverlap(box(0, 0, 10, 10))
    expect(overlap(box(10, 0, 20, 10)).area).toBe(0)
    expect(overlap(box(10, 10, 20, 20)).area).toBe(0)
    expect(overlap(box(5, 0, 15, 10))).toEqual({ area: 50, x: 7.5, y: 5 })
    expect(overlap(box(-5, -5, 15, 15))).toEqual({ area: 100, x: 5, y: 5 })
    expect(overlap(box(2, 3, 4, 5))).toEqual({ area: 4, x: 3, y: 4 })
    expect(overlap(box(0, 0, 10, 10)).area).toBe(100)
    expect(overlap([]).area).toBe(0)
    expect(prepareOverlap([])(box(0, 0, 1, 1)).area).toBe(0)
  })

  it('does not mind which way rings run', () => {
    const reversed = (ring: Ring): Ring => {
      const pairs = Array.from({ length: ring.length / 2 }, (_, i) => [ring[2 * i]!, ring[2 * i + 1]!])
      return Float64Array.from(pairs.reverse().flat())
    }
    const holed = [[star(0, 0, 100, 60), star(0, 0, 30, 20)]]
    const parcel = [[star(40, 10, 70, 30)]]
    const turned = holed.map(polygon => polygon.map(reversed))
    const area = prepareOverlap(holed)(parcel).area
    expect(prepareOverlap(turned)(parcel.map(polygon => polygon.map(reversed))).area / area).toBeCloseTo(1, 12)
  })
})

it('a ring that crosses itself is not plainly simple', () => {
  expect(isPlainlySimple(box(0, 0, 1, 1))).toBe(true)
  expect(isPlainlySimple([[Float64Array.of(0, 0, 1, 1, 1, 0, 0, 1, 0, 0)]])).toBe(false)
  expect(isPlainlySimple([[star(0, 0, 100, 60)]])).toBe(false)
})
