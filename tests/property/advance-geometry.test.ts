import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { walkRing } from '../../core/advance/boundary-points.ts'
import { createCellGrid } from '../../core/advance/cell-grid.ts'
import { lengthToWidth } from '../../core/advance/elongation.ts'
import { evenDiscVariance, evenStripLength, farPairVariance } from '../../core/advance/even-scatter.ts'
import { createExtent } from '../../core/advance/extent.ts'
import { linkDiscs } from '../../core/advance/link-discs.ts'
import { distanceToBoundary, isInside } from '../../core/geo/index.ts'
import type { MultiPolygon } from '../../core/model/index.ts'

const metres = (limit: number) => fc.double({ min: -limit, max: limit, noNaN: true })

/** A star about a centre: never crosses itself. */
const star = fc
  .tuple(
    metres(2000),
    metres(2000),
    fc.array(fc.double({ min: 5, max: 300, noNaN: true }), { minLength: 3, maxLength: 12 }),
  )
  .map(([x, y, radii]) => {
    const corners = radii.flatMap((radius, i) => {
      const angle = (2 * Math.PI * i) / radii.length
      return [x + radius * Math.cos(angle), y + radius * Math.sin(angle)]
    })
    return Float64Array.of(...corners, corners[0]!, corners[1]!)
  })

describe('extent', () => {
  it('gives the distance and the side that a look at every edge gives', () => {
    fc.assert(
      fc.property(fc.array(star, { minLength: 1, maxLength: 6 }), metres(6000), metres(6000), (rings, x, y) => {
        const shape: MultiPolygon = [rings[0]!].map(ring => [ring])
        const more: MultiPolygon = rings.map(ring => [ring])
        const extent = createExtent(more)
        expect(Math.abs(extent.signedDistance(x, y))).toBeCloseTo(distanceToBoundary(more, x, y), 6)
        expect(createExtent(shape).contains(x, y)).toBe(isInside(shape, x, y))
      }),
      { numRuns: 300 },
    )
  })

  it('is infinitely far when it is empty', () => {
    const empty = createExtent([])
    expect(empty.isEmpty).toBe(true)
    expect(empty.signedDistance(0, 0)).toBe(Number.POSITIVE_INFINITY)
  })
})

describe('single linkage', () => {
  it('makes the groups that comparing all pairs makes', () => {
    const disc = fc.tuple(
      metres(600),
      metres(600),
      fc.oneof(fc.constant(5), fc.double({ min: 0.5, max: 120, noNaN: true })),
    )
    fc.assert(
      fc.property(fc.array(disc, { maxLength: 60 }), discs => {
        const columns = {
          x: Float64Array.from(discs, one => one[0]),
          y: Float64Array.from(discs, one => one[1]),
          radius: Float64Array.from(discs, one => one[2]),
        }
        expect([...linkDiscs(columns, 60)]).toEqual(linkSlowly(discs, 60))
      }),
      { numRuns: 300 },
    )
  })

  function linkSlowly(discs: readonly (readonly [number, number, number])[], reach: number): number[] {
    const labels = discs.map((_, i) => i)
    for (let pass = 0; pass < discs.length; pass++) {
      discs.forEach(([x, y, radius], i) => {
        discs.forEach(([otherX, otherY, otherRadius], j) => {
          const isNear = (x - otherX) ** 2 + (y - otherY) ** 2 <= (reach + radius + otherRadius) ** 2
          if (isNear) labels[i] = labels[j] = Math.min(labels[i]!, labels[j]!)
        })
      })
    }
    return labels
  }
})

describe('places along a ring', () => {
  it('are as many as the definition says, equal steps apart, and do not hang on where the ring starts', () => {
    fc.assert(
      fc.property(star, fc.nat(11), fc.double({ min: 1, max: 500, noNaN: true }), (ring, turn, step) => {
        const points = walkRing(ring, step)
        const corners = ring.length / 2 - 1
        let perimeter = 0
        for (let i = 2; i < ring.length; i += 2) {
          perimeter += Math.hypot(ring[i]! - ring[i - 2]!, ring[i + 1]! - ring[i - 1]!)
        }
        expect(points).toHaveLength(Math.max(1, Math.round(perimeter / step)))
        expect(points.reduce((sum, point) => sum + point.weight, 0)).toBeCloseTo(perimeter, 6)
        const turned = new Float64Array(ring.length)
        for (let i = 0; i <= corners; i++) {
          const from = (i + turn) % corners
          turned.set([ring[2 * from]!, ring[2 * from + 1]!], 2 * i)
        }
        walkRing(turned, step).forEach((point, i) => {
          expect(point.x).toBeCloseTo(points[i]!.x, 6)
          expect(point.y).toBeCloseTo(points[i]!.y, 6)
        })
      }),
      { numRuns: 50 },
    )
  })

  it('start half a step from the smallest vertex', () => {
    const square = Float64Array.of(10, 0, 10, 10, 0, 10, 0, 0, 10, 0)
    // By hand: perimeter 40, step 10, from (0, 0) toward (10, 0).
    expect(walkRing(square, 10).map(({ x, y }) => [x, y])).toEqual([
      [5, 0],
      [10, 5],
      [5, 10],
      [0, 5],
    ])
  })
})

describe('length over width', () => {
  it('is that of a rectangle at any angle', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 20, noNaN: true }),
        fc.double({ min: 0, max: 7, noNaN: true }),
        (ratio, angle) => {
          const corners = [
            [0, 0],
            [ratio, 0],
            [ratio, 1],
            [0, 1],
            [0, 0],
          ] as const
          const [c, s] = [Math.cos(angle), Math.sin(angle)]
          const ring = Float64Array.from(corners.flatMap(([x, y]) => [x * c - y * s, x * s + y * c]))
          expect(lengthToWidth({ planar: [[ring]] })! / ratio).toBeCloseTo(1, 6)
        },
      ),
    )
  })
})

describe('even scatter from pairs that lie apart', () => {
  it('gives an even disc its radius whatever reach is left out', () => {
    // Slow oracle: places on a fine lattice inside the disc of radius 1, all pairs.
    const lattice: [number, number][] = []
    for (let x = -1; x <= 1; x += 0.12) for (let y = -1; y <= 1; y += 0.12) if (x * x + y * y <= 1) lattice.push([x, y])
    expect(lattice.length).toBeLessThan(300)
    const plain = farPairVariance(lattice, 0)
    for (const reach of [0.2, 0.4, 0.5, 0.8]) {
      const variance = evenDiscVariance(farPairVariance(lattice, reach), reach)
      expect(Math.sqrt(variance / plain)).toBeCloseTo(1, 1.5)
    }
    // Exactly: no reach, half the square of the radius.
    expect(evenDiscVariance(0.5, 0)).toBe(0.5)
  })

  it('gives an even strip its length whatever reach is left out', () => {
    const places = Array.from({ length: 290 }, (_, i) => [(100 * (i + 0.5)) / 290])
    for (const reach of [5, 20, 40])
      expect(evenStripLength(farPairVariance(places, reach), reach)).toBeCloseTo(100, -0.3)
  })

  it('is the unbiased variance where nothing is left out', () => {
    fc.assert(
      fc.property(fc.uniqueArray(fc.integer({ min: -500, max: 500 }), { minLength: 2, maxLength: 40 }), values => {
        const middle = values.reduce((sum, value) => sum + value, 0) / values.length
        const variance = values.reduce((sum, value) => sum + (value - middle) ** 2, 0) / (values.length - 1)
        const pairs = farPairVariance(
          values.map(value => [value]),
          0,
        )
        expect(pairs / variance).toBeCloseTo(1, 9)
      }),
    )
  })
})

describe('places in a grid', () => {
  it('are those that a look at every one finds', () => {
    const place = fc.record({ x: metres(3000), y: metres(3000) })
    fc.assert(
      fc.property(
        fc.array(place, { maxLength: 40 }),
        place,
        fc.double({ min: 0, max: 900, noNaN: true }),
        (places, { x, y }, reach) => {
          const grid = createCellGrid(places, 25)
          const distance = (one: { x: number; y: number }) => Math.hypot(one.x - x, one.y - y)
          expect(grid.within(x, y, reach)).toEqual(places.filter(one => distance(one) <= reach))
          expect(grid.nearestDistance(x, y)).toBe(Math.min(Number.POSITIVE_INFINITY, ...places.map(distance)))
        },
      ),
      { numRuns: 60 },
    )
  })
})
