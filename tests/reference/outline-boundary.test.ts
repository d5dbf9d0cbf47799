import { expect, it } from 'vitest'
import { indexBoundary, signedDistance } from '../../core/geo/index.ts'
import type { MultiPolygon, Ring } from '../../core/model/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { checkAll } from './check.ts'

function star(x: number, y: number, radius: number, corners: number): Ring {
  const ring = new Float64Array(2 * corners + 2)
  for (let k = 0; k <= corners; k++) {
    const angle = (2 * Math.PI * (k % corners)) / corners
    const reach = radius * (1 + 0.5 * Math.sin(5 * angle))
    ring[2 * k] = x + reach * Math.cos(angle)
    ring[2 * k + 1] = y + reach * Math.sin(angle)
  }
  return ring
}

// The oracle looks at every edge (core/geo/planar.ts, signedDistance).
it('distances to a boundary agree with a look at every edge, inside, outside and far off', () => {
  const random = createRandom(61)
  const pairs: [expected: number, got: number][] = []
  for (let round = 0; round < 30; round++) {
    const count = 1 + random.integer(15)
    const shape: MultiPolygon = Array.from({ length: count }, (_, i) => [
      star((i % 4) * 400, Math.floor(i / 4) * 400, 20 + 100 * random.next(), 5 + random.integer(200)),
    ])
    const boundary = indexBoundary(shape)
    for (let k = 0; k < 200; k++) {
      const [x, y] = [4000 * random.next() - 1500, 4000 * random.next() - 1500]
      const expected = signedDistance(shape, x, y)
      pairs.push([expected, boundary.signedDistance(x, y)])
      expect(boundary.isInside(x, y)).toBe(expected < 0)
    }
  }
  checkAll({ what: 'signed distance to a boundary, m', source: 'a look at every edge', within: 1e-9, pairs })
})

it('squares with a hole, asked for at the places where lines and corners lie', () => {
  const ring = (low: number, high: number): Ring =>
    Float64Array.of(low, low, high, low, high, high, low, high, low, low)
  const shape: MultiPolygon = [[ring(0, 10), ring(2, 8)]]
  const boundary = indexBoundary(shape)
  for (let x = -3; x <= 13; x += 0.5) {
    for (let y = -3; y <= 13; y += 0.5) {
      const expected = signedDistance(shape, x, y)
      // On the boundary itself either side may be told.
      expect(Math.abs(boundary.signedDistance(x, y) - expected)).toBeLessThan(1e-12)
    }
  }
})

it('a boundary of one line of points, and none', () => {
  const flat = indexBoundary([[Float64Array.of(0, 0, 100, 0, 0, 0)]])
  expect(flat.signedDistance(50, 7)).toBe(7)
  expect(indexBoundary([]).signedDistance(1, 2)).toBe(Number.POSITIVE_INFINITY)
  expect(indexBoundary([]).isInside(1, 2)).toBe(false)
})
