import { describe, expect, it } from 'vitest'
import {
  createArcsClosing,
  createPlaneAreas,
  frameFromCrs,
  measureArea,
  measureLayers,
  planarArea,
  pointScale,
  toGlobePolygons,
} from '../../core/geo/index.ts'
import type { MultiPolygon } from '../../core/model/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { checkAll } from './check.ts'

/** A trefoil about a place: turns in and out, so that edges run every way. */
function trefoil(x: number, y: number, radius: number, corners: number): MultiPolygon {
  const ring = new Float64Array(2 * corners + 2)
  for (let k = 0; k <= corners; k++) {
    const angle = (2 * Math.PI * (k % corners)) / corners
    const reach = radius * (1 + 0.5 * Math.sin(3 * angle))
    ring[2 * k] = x + reach * Math.cos(angle)
    ring[2 * k + 1] = y + reach * Math.sin(angle)
  }
  return [[ring]]
}

const LOCAL = '+proj=tmerc +lat_0=35.7 +lon_0=-45.8 +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m'
// EPSG:32119 is a conic, EPSG:5070 an equal-area one (its edges are measured by GeographicLib itself).
const PLACES = [
  [LOCAL, 0, 0],
  [LOCAL, 50_000, -30_000],
  [LOCAL, 150_000, 1000],
  ['EPSG:32618', 700_000, 4_008_000],
  ['EPSG:32119', 609_601, 200_000],
  ['EPSG:32119', 750_000, 150_000],
  ['EPSG:5070', 1_500_000, 1_500_000],
  ['+proj=tmerc +lat_0=65.7 +lon_0=179.9 +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m', 30_000, 0],
] as const

describe('areas on the ellipsoid from the plane', () => {
  // GeographicLib (geographiclib-geodesic 2.x, PolygonArea) on the same vertices in degrees.
  it.each(PLACES)('%s at %d, %d agree with GeographicLib to 1e-9', (crs, x, y) => {
    const frame = frameFromCrs(crs)
    const areaOf = createPlaneAreas(frame)
    const shapes = [
      [300, 200],
      [3000, 900],
      [3000, 7],
      [8000, 40],
      [40_000, 60],
    ] as const
    const pairs = shapes.map(([radius, corners]) => {
      const shape = trefoil(x, y, radius, corners)
      return [measureArea(toGlobePolygons(shape, frame)), areaOf(shape)] as const
    })
    const what = 'area on the ellipsoid from plane frames, m2'
    checkAll({ what, source: 'geographiclib-geodesic PolygonArea', share: 1e-9, pairs })
  })

  // Below a hundred metres GeographicLib's sums lose digits (1e-6 at 5 m); there the scale of the place is the reference.
  it('small shapes are their planar area over the square of the point scale', () => {
    const frame = frameFromCrs(LOCAL)
    const areaOf = createPlaneAreas(frame)
    for (const x of [0, 20_000, 150_000]) {
      const shape = trefoil(x, 7000, 5, 24)
      expect(areaOf(shape) / (planarArea(shape) / pointScale(frame, ...frame.toGlobe(x, 7000)) ** 2)).toBeCloseTo(1, 9)
    }
  })

  it('holes are taken off, and no shape has no area', () => {
    const areaOf = createPlaneAreas(frameFromCrs(LOCAL))
    const [outer, hole] = [trefoil(0, 0, 500, 60), trefoil(0, 0, 100, 60)]
    const holed = areaOf([[outer[0]![0]!, hole[0]![0]!]])
    expect(holed / (areaOf(outer) - areaOf(hole))).toBeCloseTo(1, 12)
    expect(areaOf([])).toBe(0)
  })
})

describe('discs that lie on each other', () => {
  const arcs = createArcsClosing(
    {
      close: () => {
        throw new Error('the arcs did not close')
      },
      closedArea: () => {
        throw new Error('the arcs did not close')
      },
    },
    () => undefined,
  )

  // By the definition: what each disc adds to the union of those above it. The union's radii carry up to 1e-7 m of jitter.
  it('weighted ground and union agree with unions added up disc by disc', () => {
    const random = createRandom(41)
    const unions: [expected: number, got: number][] = []
    const weights: [expected: number, got: number][] = []
    for (let set = 0; set < 40; set++) {
      const n = 1 + random.integer(50)
      const column = (of: () => number) => Float64Array.from({ length: n }, of)
      const [x, y, r] = [
        column(() => 90 * random.next()),
        column(() => 90 * random.next()),
        column(() => 2 + 20 * random.next()),
      ]
      const weight = column(() => random.next())
      let [weighted, before] = [0, 0]
      for (let k = 1; k <= n; k++) {
        const area = arcs.closedArea({ x: x.slice(0, k), y: y.slice(0, k), r: r.slice(0, k) }, 0)
        weighted += weight[k - 1]! * (area - before)
        before = area
      }
      const layers = measureLayers({ x, y, r }, weight)
      unions.push([before, layers.union])
      weights.push([weighted, layers.weighted])
    }
    const source = 'unions added up disc by disc'
    checkAll({ what: 'infested area: union of discs, m2', source, share: 1e-6, pairs: unions })
    checkAll({ what: 'net canopy: weighted discs, m2', source, share: 1e-5, pairs: weights })
  })

  // A ring of upper discs round a middle they leave open: the lower disc shows through.
  it('a void between upper discs shows what lies beneath', () => {
    const x = Float64Array.from([...Array.from({ length: 12 }, (_, k) => 10 * Math.cos((k * Math.PI) / 6)), 0])
    const y = Float64Array.from([...Array.from({ length: 12 }, (_, k) => 10 * Math.sin((k * Math.PI) / 6)), 0])
    const r = Float64Array.from([...new Array<number>(12).fill(4), 12])
    const ringArea = arcs.closedArea({ x: x.slice(0, 12), y: y.slice(0, 12), r: r.slice(0, 12) }, 0)
    const layers = measureLayers({ x, y, r }, Float64Array.from([...new Array<number>(12).fill(0), 1]))
    expect(layers.weighted).toBeCloseTo(layers.union - ringArea, 4)
    expect(layers.weighted).toBeGreaterThan(50)
  })

  it('no disc has no area', () => {
    const none = new Float64Array(0)
    expect(measureLayers({ x: none, y: none, r: none }, none)).toEqual({ union: 0, weighted: 0 })
  })
})
