import { beforeAll, describe, expect, it } from 'vitest'

import {
  type Circles,
  type ClosingEngine,
  createArcsClosing,
  createGeosClosing,
  createPolygonEngine,
  isInside,
  type PolygonEngine,
  planarArea,
} from '../../core/geo/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { check, checkAll } from './check.ts'

const discsOf = (rows: readonly (readonly [x: number, y: number, r: number])[]): Circles => ({
  x: Float64Array.from(rows, row => row[0]),
  y: Float64Array.from(rows, row => row[1]),
  r: Float64Array.from(rows, row => row[2]),
})

let engine: PolygonEngine
let geos: ClosingEngine
let arcs: ClosingEngine
let fallbacks = 0

beforeAll(async () => {
  engine = await createPolygonEngine()
  geos = createGeosClosing(engine, 32)
  arcs = createArcsClosing(geos, () => fallbacks++)
})

/** The gap at which two discs of radius r come apart, by halving. */
function greatestGapJoined(r: number, join: number): number {
  let [joined, apart] = [0, join]
  while (apart - joined > 1e-3) {
    const gap = (joined + apart) / 2
    const pair = discsOf([
      [0, 0, r],
      [2 * r + gap, 0, r],
    ])
    if (parts(arcs, pair, join) === 1) joined = gap
    else apart = gap
  }
  return joined
}

const parts = (closing: ClosingEngine, discs: Circles, join: number) =>
  closing.close(discs, { half: join / 2, minimumHole: 0 }).shape.length

// Two equal discs of radius r end in one part only up to a gap of 2 sqrt(r (r + g)) - 2r: where the two arcs of radius
// g/2 about the crossings of the grown circles just touch. Plane geometry, worked by hand; 42.70 for unequal discs likewise.
describe('two discs at the greatest gap that still makes one part', () => {
  for (const [r, join, gap] of [
    [15, 60, 37.08],
    [5, 60, 26.06],
    [50, 60, 48.32],
  ] as const) {
    it(`radius ${r} m, join ${join} m: ${gap} m`, () => {
      expect(2 * Math.sqrt(r * (r + join)) - 2 * r).toBeCloseTo(gap, 2)
      const what = 'greatest gap that still joins, m'
      const got = greatestGapJoined(r, join)
      check({ what, source: '2 sqrt(r (r + g)) - 2 r, by hand', expected: gap, got, within: 0.01 })
      // The round corners of GEOS are inscribed polygons, which leaves necks a little longer.
      for (const [closing, slack] of [
        [arcs, 0.01],
        [geos, 0.15],
      ] as const) {
        const pair = (d: number) =>
          discsOf([
            [0, 0, r],
            [2 * r + d, 0, r],
          ])
        expect(parts(closing, pair(gap - slack), join)).toBe(1)
        expect(parts(closing, pair(gap + slack), join)).toBe(2)
      }
    })
  }

  it('radii 15 and 50 m, join 60 m: 42.70 m', () => {
    expect(
      parts(
        arcs,
        discsOf([
          [0, 0, 15],
          [65 + 42.69, 0, 50],
        ]),
        60,
      ),
    ).toBe(1)
    expect(
      parts(
        arcs,
        discsOf([
          [0, 0, 15],
          [65 + 42.72, 0, 50],
        ]),
        60,
      ),
    ).toBe(2)
  })

  it('a third disc bridges, or does not', () => {
    const two: [number, number, number][] = [
      [0, 0, 15],
      [80, 0, 15],
    ]
    expect(parts(arcs, discsOf(two), 60)).toBe(2)
    expect(parts(arcs, discsOf([...two, [40, 60, 15]]), 60)).toBe(1)
    expect(parts(arcs, discsOf([...two, [40, 70, 15]]), 60)).toBe(3)
  })
})

describe('area of simple closings', () => {
  it('one disc is its own closing', () => {
    const one = discsOf([[500_000, 4_000_000, 7]])
    const got = arcs.closedArea(one, 30)
    check({ what: 'closing of one disc, m2', source: 'pi r^2', expected: Math.PI * 49, got, share: 1e-7 })
    expect(planarArea(arcs.close(one, { half: 30, minimumHole: 0 }).shape) / (Math.PI * 49)).toBeCloseTo(1, 6)
  })

  // Lens formula for two overlapping circles of radius r at distance d: 2 r2 acos(d / 2r) - d/2 sqrt(4 r2 - d2).
  it('the union of two overlapping discs', () => {
    const [r, d] = [10, 12]
    const lens = 2 * r * r * Math.acos(d / (2 * r)) - (d / 2) * Math.sqrt(4 * r * r - d * d)
    const union = 2 * Math.PI * r * r - lens
    const discs = discsOf([
      [0, 0, r],
      [d, 0, r],
    ])
    const got = arcs.closedArea(discs, 0)
    check({ what: 'union of two discs, m2', source: 'lens of two circles', expected: union, got, share: 1e-7 })
  })

  // Two discs of radius r at d with half join h: in the upper half, the triangle of the centres and the crossing, less the
  // sector of radius h about the crossing; beside it the discs outside that triangle. Worked by hand.
  it('the closing of two discs joined by a neck', () => {
    const [r, h, d] = [15, 30, 50]
    const apex = 2 * Math.asin(d / 2 / (r + h))
    const height = Math.sqrt((r + h) ** 2 - (d / 2) ** 2)
    const base = Math.acos(d / 2 / (r + h))
    const half = (d * height) / 2 - (h * h * apex) / 2 + r * r * (Math.PI - base)
    const discs = discsOf([
      [0, 0, r],
      [d, 0, r],
    ])
    const got = arcs.closedArea(discs, h)
    const source = 'triangle, sectors and discs, by hand'
    check({ what: 'closing of two discs with a neck, m2', source, expected: 2 * half, got, share: 1e-7 })
  })

  it('a ring of discs keeps its hole until the minimum hole fills it', () => {
    const ring = discsOf(
      Array.from(
        { length: 24 },
        (_, k) => [100 * Math.cos((k * Math.PI) / 12), 100 * Math.sin((k * Math.PI) / 12), 10] as const,
      ),
    )
    const open = arcs.close(ring, { half: 15, minimumHole: 0 }).shape
    expect(open.map(polygon => polygon.length)).toEqual([2])
    expect(arcs.close(ring, { half: 15, minimumHole: 1e6 }).shape.map(polygon => polygon.length)).toEqual([1])
    const hole = planarArea([[open[0]![1]!]])
    // No hole of a closing is smaller than a disc of half the join distance.
    expect(hole).toBeGreaterThan(Math.PI * 15 * 15)
  })
})

/** Scattered sets of discs that hang together or not, of several sizes; the closing is asked for each as it is. */
function randomSets(seed: number, count: number): { discs: Circles; half: number }[] {
  const random = createRandom(seed)
  return Array.from({ length: count }, (_, t) => {
    const span = [30, 80, 160][t % 3]!
    const n = 2 + random.integer(40)
    const half = [2.5, 15, 30][random.integer(3)]!
    const rows = Array.from(
      { length: n },
      () => [span * random.next(), span * random.next(), 5 + 15 * random.next()] as const,
    )
    return { discs: discsOf(rows), half }
  })
}

describe('exact arcs against GEOS at 32 segments a quarter circle', () => {
  it('areas agree to 0.1 % (GEOS 3.13 through geos-wasm) on 60 random sets', () => {
    fallbacks = 0
    const pairs: [expected: number, got: number][] = []
    for (const { discs, half } of randomSets(11, 60)) {
      const closed = arcs.close(discs, { half, minimumHole: 0 }).shape
      const reference = planarArea(geos.close(discs, { half, minimumHole: 0 }).shape)
      pairs.push([reference, planarArea(closed)])
      expect(Math.abs(planarArea(closed) / arcs.closedArea(discs, half) - 1)).toBeLessThan(1e-7)
      expect(engine.isValid(closed)).toBe(true)
    }
    checkAll({ what: 'closings of random discs, m2', source: 'GEOS 3.13, 32 segments a quarter', share: 1e-3, pairs })
    expect(fallbacks).toBe(0)
  })
})

/**
 * Membership by the definition alone: a point lies in the closing when no point outside all grown discs is nearer than
 * `half`. The nearest such point lies on a grown circle: radially, or at a crossing of two of them.
 */
function createDefinition({ x, y, r }: Circles, half: number): (px: number, py: number) => number {
  const isOutside = (px: number, py: number) =>
    r.every((radius, i) => Math.hypot(px - x[i]!, py - y[i]!) >= radius + half - 1e-9)
  const crossings: [number, number][] = []
  for (let i = 0; i < r.length; i++) {
    for (let j = 0; j < i; j++) {
      const [a, b, dx, dy] = [r[i]! + half, r[j]! + half, x[j]! - x[i]!, y[j]! - y[i]!]
      const d = Math.hypot(dx, dy)
      if (d > a + b || d < Math.abs(a - b)) continue
      const along = (a * a - b * b + d * d) / (2 * d)
      const across = Math.sqrt(Math.max(0, a * a - along * along))
      for (const side of [-across, across]) {
        const place = [x[i]! + (dx * along - dy * side) / d, y[i]! + (dy * along + dx * side) / d] as [number, number]
        if (isOutside(...place)) crossings.push(place)
      }
    }
  }
  return (px, py) => {
    if (isOutside(px, py)) return 0
    let least = Number.POSITIVE_INFINITY
    for (const [cx, cy] of crossings) least = Math.min(least, Math.hypot(px - cx, py - cy))
    for (let i = 0; i < r.length; i++) {
      const d = Math.hypot(px - x[i]!, py - y[i]!)
      const grown = r[i]! + half
      const [fx, fy] = [x[i]! + ((px - x[i]!) / d) * grown, y[i]! + ((py - y[i]!) / d) * grown]
      if (isOutside(fx, fy)) least = Math.min(least, Math.abs(grown - d))
    }
    return least
  }
}

describe('random points against the definition, by brute force', () => {
  it('classifies every point that is not within the chord error of the outline', () => {
    const random = createRandom(12)
    let [looked, right] = [0, 0]
    for (const { discs, half } of randomSets(13, 24)) {
      const distance = createDefinition(discs, half)
      const shape = arcs.close(discs, { half, minimumHole: 0 }).shape
      for (let k = 0; k < 400; k++) {
        const [px, py] = [220 * random.next() - 30, 220 * random.next() - 30]
        const clearance = distance(px, py) - half
        // The drawn line strays up to 0.05 m from its arc; parts without a disc are left out by definition.
        if (Math.abs(clearance) < 0.06) continue
        looked++
        if (isInside(shape, px, py) === clearance > 0) right++
      }
    }
    expect(looked).toBeGreaterThan(8000)
    const what = 'points told in or out of a closing'
    check({ what, source: 'the definition, by brute force', expected: looked, got: right })
  })
})

describe('fragile spots', () => {
  const lattice = (n: number, step: number, radius: number): Circles =>
    discsOf(
      Array.from(
        { length: n * n },
        (_, k) => [500_000 + (k % n) * step, 4_000_000 + Math.floor(k / n) * step, radius] as const,
      ),
    )

  it('a perfect lattice, with four circles through every point between', () => {
    fallbacks = 0
    // Radius 5 grown by 15: the circles of a square of side 20 sqrt(2) all pass through its middle.
    const discs = lattice(20, 20 * Math.SQRT2, 5)
    const shape = arcs.close(discs, { half: 15, minimumHole: 0 }).shape
    expect(shape.map(polygon => polygon.length)).toEqual([1])
    expect(
      Math.abs(planarArea(shape) / planarArea(geos.close(discs, { half: 15, minimumHole: 0 }).shape) - 1),
    ).toBeLessThan(1e-3)
    expect(fallbacks).toBe(0)
  })

  it('discs that just touch', () => {
    fallbacks = 0
    // Joined by nothing but their touching points, the union keeps every disc's area and a void between each four.
    const [expected, got] = [144 * Math.PI * 100, arcs.closedArea(lattice(12, 20, 10), 0)]
    check({ what: '144 discs that just touch, m2', source: '144 pi r^2', expected, got, share: 1e-6 })
    expect(fallbacks).toBe(0)
  })

  it('near-duplicates, 1e-4 m apart', () => {
    fallbacks = 0
    const random = createRandom(14)
    const spot = discsOf(
      Array.from({ length: 500 }, () => [1e-4 * random.normal(), 1e-4 * random.normal(), 15] as const),
    )
    expect(Math.abs(arcs.closedArea(spot, 15) / (Math.PI * 225) - 1)).toBeLessThan(1e-4)
    expect(fallbacks).toBe(0)
  })

  it('nested and near-tangent discs', () => {
    fallbacks = 0
    for (const slip of [0, 1e-9, -1e-9, 1e-6, -1e-6, 1e-3]) {
      const nested = discsOf([
        [0, 0, 50],
        [40 + slip, 0, 10],
      ])
      expect(Math.abs(arcs.closedArea(nested, 15) / (Math.PI * 2500) - 1)).toBeLessThan(1e-5)
    }
    expect(fallbacks).toBe(0)
  })

  it('radii from 1 to 500 m in one set', () => {
    fallbacks = 0
    const random = createRandom(15)
    const rows = Array.from(
      { length: 60 },
      () => [3000 * random.next(), 3000 * random.next(), Math.exp(random.next() * Math.log(500))] as const,
    )
    const wide = discsOf(rows)
    const pairs = [0, 15, 200].map(
      half => [planarArea(geos.close(wide, { half, minimumHole: 0 }).shape), arcs.closedArea(wide, half)] as const,
    )
    const source = 'GEOS 3.13, 32 segments a quarter'
    checkAll({ what: 'closings with radii of 1 to 500 m, m2', source, share: 1e-3, pairs })
    expect(fallbacks).toBe(0)
  })
})
