import {
  featureCollection,
  difference as turfDifference,
  intersect as turfIntersect,
  polygon as turfPolygon,
  union as turfUnion,
} from '@turf/turf'
import type { Feature, MultiPolygon as GeoJsonMultiPolygon, Polygon as GeoJsonPolygon } from 'geojson'
import { beforeAll, describe, expect, it, vi } from 'vitest'
import {
  createPolygonEngine,
  isInside,
  type PolygonEngine,
  planarArea,
  planarLength,
  signedRingArea,
} from '../../core/geo/index.ts'
import type { MultiPolygon, Ring } from '../../core/model/index.ts'
import { check, checkAll } from './check.ts'

let engine: PolygonEngine
beforeAll(async () => {
  engine = await createPolygonEngine()
})

const square = (x: number, y: number, size: number): MultiPolygon => [
  [Float64Array.of(x, y, x + size, y, x + size, y + size, x, y + size, x, y)],
]

/** A ring of `count` corners on a circle, with every other corner drawn in. */
function star(x: number, y: number, radius: number, count: number): MultiPolygon {
  const ring: number[] = []
  for (let i = 0; i < count; i++) {
    const reach = i % 2 === 0 ? radius : radius * 0.6
    ring.push(x + reach * Math.cos((2 * Math.PI * i) / count), y + reach * Math.sin((2 * Math.PI * i) / count))
  }
  return [[Float64Array.from([...ring, ring[0]!, ring[1]!])]]
}

const plain = (shape: MultiPolygon) => shape.map(rings => rings.map(ring => [...ring]))

describe('polygon engine', () => {
  it('gives valid rings in one order, outer ones counter-clockwise and holes clockwise', () => {
    const clockwise: Ring = Float64Array.of(0, 0, 0, 3, 3, 3, 3, 0, 0, 0)
    const result = engine.difference([[clockwise]], square(1, 1, 1))
    expect(plain(result)).toEqual([
      [
        [0, 0, 3, 0, 3, 3, 0, 3, 0, 0],
        [1, 1, 1, 2, 2, 2, 2, 1, 1, 1],
      ],
    ])
    expect(signedRingArea(result[0]![0]!)).toBe(9)
    expect(signedRingArea(result[0]![1]!)).toBe(-1)
  })

  it('gives the same result for the same shapes in another order', () => {
    const shapes = Array.from({ length: 30 }, (_, i) => star((i * 7) % 23, (i * 5) % 17, 2 + (i % 3), 16))
    const result = engine.union(shapes)
    expect(engine.isValid(result)).toBe(true)
    const other = engine.union([...shapes].reverse())
    expect(planarArea(other)).toBeCloseTo(planarArea(result), 9)
    expect(other.map(rings => rings.length)).toEqual(result.map(rings => rings.length))
    const starts = result.map(rings => rings[0]![0]!)
    expect(starts).toEqual([...starts].sort((a, b) => a - b))
  })

  it('knows nothing from nothing', () => {
    expect(engine.union([])).toEqual([])
    expect(engine.intersection(square(0, 0, 1), square(5, 5, 1))).toEqual([])
    expect(engine.intersection(square(0, 0, 1), square(1, 0, 1))).toEqual([])
    expect(engine.difference(square(0, 0, 1), square(0, 0, 1))).toEqual([])
    expect(engine.buffer(square(0, 0, 1), -0.5, 8)).toEqual([])
    expect(engine.bufferPaths([], 1, 8)).toEqual([])
    expect(engine.clipPaths([], square(0, 0, 1))).toEqual([])
  })

  // A rounded square: area s^2 + 4 s r + the area of the 4 k-gon inscribed in the circle, 2 k r^2 sin(pi / 2k), k a quarter.
  it.each([4, 8, 32])('grows a square by rounded corners of %d segments a quarter circle', segments => {
    const corners = 2 * segments * 9 * Math.sin(Math.PI / 2 / segments)
    const grown = planarArea(engine.buffer(square(0, 0, 10), 3, segments))
    const what = 'square grown by rounded corners, m2'
    check({
      what,
      source: 'polygon inscribed in a circle, by hand',
      expected: 220 + corners,
      got: grown,
      within: 5e-10,
    })
    const strip = engine.bufferPaths([Float64Array.of(0, 0, 10, 0)], 3, segments)
    expect(planarArea(strip)).toBeCloseTo(60 + corners, 9)
  })

  it('cuts paths at the edges of a shape and keeps their direction', () => {
    const shape = [...square(0, 0, 1), ...square(2, 0, 1)]
    const pieces = engine.clipPaths([Float64Array.of(-1, 0.5, 5, 0.5)], shape)
    expect(pieces.map(piece => [...piece])).toEqual([
      [0, 0.5, 1, 0.5],
      [2, 0.5, 3, 0.5],
    ])
    const back = engine.clipPaths([Float64Array.of(5, 0.5, -1, 0.5)], square(0, 0, 1))
    expect(back.map(piece => [...piece])).toEqual([[1, 0.5, 0, 0.5]])
    const whole = engine.clipPaths([Float64Array.of(0.1, 0.1, 0.9, 0.1, 0.9, 0.9, 0.5, -0.5)], square(0, 0, 1))
    expect(whole.reduce((sum, piece) => sum + planarLength(piece), 0)).toBeCloseTo(
      1.6 + planarLength(Float64Array.of(0.9, 0.9, 0.9 - 0.4 * (0.9 / 1.4), 0)),
      12,
    )
  })

  // A bow tie is two triangles of 1/4 each: Simple Feature Access (OGC 06-103r4) 6.1.11.1, rings may not cross themselves.
  it('tells and mends a ring that crosses itself', () => {
    const bowTie: MultiPolygon = [[Float64Array.of(0, 0, 1, 1, 1, 0, 0, 1, 0, 0)]]
    const said = vi.spyOn(console, 'log')
    expect(engine.isValid(bowTie)).toBe(false)
    // The library's own notices would spoil the standard output of a batch command.
    expect(said).not.toHaveBeenCalled()
    expect(() => engine.intersection(bowTie, square(0, 0, 1))).toThrow(/TopologyException/)
    const mended = engine.makeValid(bowTie)
    expect(engine.isValid(mended)).toBe(true)
    expect(planarArea(mended)).toBeCloseTo(0.5, 12)
  })

  it.each([Number.NaN, Number.POSITIVE_INFINITY])('refuses a coordinate of %d', bad => {
    const broken: MultiPolygon = [[Float64Array.of(0, 0, 1, 0, bad, 1, 0, 0)]]
    expect(() => engine.union([broken])).toThrow(/not finite/)
    expect(() => engine.clipPaths([Float64Array.of(0, 0, bad, 1)], square(0, 0, 1))).toThrow(/not finite/)
    expect(() => engine.buffer(square(0, 0, 1), bad, 8)).toThrow(/not finite/)
  })

  it('says plainly what it cannot read', () => {
    expect(() => engine.union([[[Float64Array.of(0, 0, 1, 0, 1, 1)]]])).toThrow()
    expect(planarArea(engine.union([square(0, 0, 2), square(1, 1, 2)]))).toBe(7)
  })
})

describe('a second library (@turf/turf) on the same shapes', () => {
  const toTurf = (shape: MultiPolygon) =>
    turfPolygon(
      shape[0]!.map(ring => Array.from({ length: ring.length / 2 }, (_, i) => [ring[2 * i]!, ring[2 * i + 1]!])),
    )
  const area = (feature: Feature<GeoJsonPolygon | GeoJsonMultiPolygon> | null): number => {
    if (feature === null) return 0
    const { geometry } = feature
    const polygons = geometry.type === 'Polygon' ? [geometry.coordinates] : geometry.coordinates
    return planarArea(polygons.map(rings => rings.map(ring => Float64Array.from(ring.flat()))))
  }

  it.each([
    [3, 1.5, 0.4],
    [5, -2.25, 1.75],
    [8, 0.125, -3.5],
    [13, 9, 9],
  ])('agrees on union, intersection and difference of stars with %d points', (points, dx, dy) => {
    const [a, b] = [star(0, 0, 5, 2 * points), star(dx, dy, 4, 2 * points + 2)]
    const both = featureCollection([toTurf(a), toTurf(b)])
    checkAll({
      what: 'union, intersection, difference, m2',
      source: '@turf/turf, run now',
      within: 5e-10,
      pairs: [
        [area(turfUnion(both)), planarArea(engine.union([a, b]))],
        [area(turfIntersect(both)), planarArea(engine.intersection(a, b))],
        [area(turfDifference(both)), planarArea(engine.difference(a, b))],
      ],
    })
  })
})

describe('memory', () => {
  it('does not grow over 10,000 operations', () => {
    // 18 operations a round; unions and failures take four times as long as the others.
    const work = (i: number) => {
      const [a, b] = [star(i % 10, 0, 5, 16), star(0, i % 7, 4, 16)]
      engine.union([a, b])
      for (let again = 0; again < 4; again++) {
        engine.intersection(a, b)
        engine.difference(a, b)
        engine.buffer(a, 1, 4)
        engine.clipPaths([Float64Array.of(-10, 0, 10, 1)], b)
      }
      try {
        engine.intersection([[Float64Array.of(0, 0, 1, 1, 1, 0, 0, 1, 0, 0)]], a)
      } catch {
        // Failed operations must free what they took, too.
      }
    }
    for (let i = 0; i < 70; i++) work(i)
    const before = engine.heapBytes()
    for (let i = 0; i < 556; i++) work(i)
    expect(engine.heapBytes()).toBe(before)
  }, 60_000)

  it('is a live figure: a big shape makes it grow', () => {
    const before = engine.heapBytes()
    const corners = Array.from({ length: 700_000 }, (_, i) => (2 * Math.PI * i) / 700_000)
    const circle = [...corners, 0].flatMap(angle => [Math.cos(angle), Math.sin(angle)])
    expect(engine.isValid([[Float64Array.from(circle)]])).toBe(true)
    expect(engine.heapBytes()).toBeGreaterThan(before)
  })
})

describe('points and polygons', () => {
  it('holes are outside', () => {
    const ring = engine.difference(square(0, 0, 3), square(1, 1, 1))
    expect(isInside(ring, 0.5, 0.5)).toBe(true)
    expect(isInside(ring, 1.5, 1.5)).toBe(false)
    expect(isInside(ring, -1, 0.5)).toBe(false)
    expect(isInside(ring, 4, 0.5)).toBe(false)
  })
})
