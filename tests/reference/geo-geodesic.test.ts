import { spawnSync } from 'node:child_process'
import { area as turfArea, distance as turfDistance } from '@turf/turf'
import { describe, expect, it } from 'vitest'
import {
  azimuthBetween,
  destination,
  geometryFromPaths,
  geometryFromPolygons,
  layerOf,
  measureArea,
  measureDistance,
  measureLayer,
  measurePathLength,
  measureRingArea,
} from '../../core/geo/index.ts'
import { check, checkAll } from './check.ts'
import values from './values/geodesy.json' with { type: 'json' }

/** Each value carries its source in values/geodesy.json; it stands in the name of the test. */
interface Check {
  readonly id: string
  readonly input: Record<string, number> & { readonly ring_latlon: readonly (readonly [number, number])[] }
  readonly expected: Record<string, number>
  readonly tolerance: Record<string, number>
  readonly source: string
}
const checks = values as unknown as Check[]
const all = (prefix: string) => checks.filter(({ id }) => id.startsWith(prefix))
const named = (prefix: string) =>
  checks.filter(check => check.id.startsWith(prefix)).map(check => [check.id, check.source, check] as const)

const hasPlanimeter = spawnSync('Planimeter', ['--version']).status === 0
if (!hasPlanimeter)
  console.info('Planimeter (geographiclib-tools) is not installed: areas are checked by committed values only.')

const ringOf = (latlon: readonly (readonly [number, number])[]): Float64Array =>
  Float64Array.from([...latlon, latlon[0]!].flatMap(([lat, lon]) => [lon, lat]))

describe('distance and azimuth', () => {
  // 15 nm is what the algorithm promises; GeodSolve's own values stand to 1e-6 or, on lines near the antipode, 1e-3 m.
  it.each([
    ['GeographicLib geodtest.cpp (Karney 2013)', all('geod-series'), 1.5e-8],
    ['GeodSolve, GeographicLib 2.1.2', all('geod-inv').filter(one => one.tolerance.s12_m! <= 1e-6), 1e-6],
    ['GeodSolve, near the antipode', all('geod-inv').filter(one => one.tolerance.s12_m! > 1e-6), 1e-3],
  ] as const)('agree with %s', (source, lines, within) => {
    expect(lines.length).toBeGreaterThan(3)
    for (const { tolerance } of lines) expect(within).toBeLessThanOrEqual(Math.max(tolerance.s12_m!, 1.5e-8))
    checkAll({
      what: 'geodesic distance, m',
      source,
      within,
      pairs: lines.map(({ input: { lon1, lat1, lon2, lat2 }, expected }) => [
        expected.s12_m!,
        measureDistance(lon1!, lat1!, lon2!, lat2!),
      ]),
    })
    // Between nearly antipodal places on the equator both signs are shortest paths.
    checkAll({
      what: 'geodesic azimuth, degrees',
      source,
      within: 1e-8,
      pairs: lines.map(({ input: { lon1, lat1, lon2, lat2 }, expected }) => [
        expected.azi1!,
        azimuthBetween(lon1!, lat1!, lon2!, lat2!),
      ]),
    })
  })

  it('destinations agree with GeodSolve', () => {
    const pairs = all('geod-direct').flatMap(({ input, expected }) => {
      const [lon, lat] = destination(input.lon1!, input.lat1!, input.azi1!, input.s12_m!)
      return [[expected.lon2!, lon] as const, [expected.lat2!, lat] as const]
    })
    checkAll({
      what: 'place at azimuth and distance, degrees',
      source: 'Karney (2013), GeodSolve',
      within: 1e-11,
      pairs,
    })
  })

  // GeographicLib and pyproj against a sphere: the grid and the great circle are both off, each in its own way.
  it.each(named('planar-vs-geodesic').filter(([id]) => id === 'planar-vs-geodesic'))(
    '%s: %s',
    (_, __, { input, expected }) => {
      const { a, b } = input as unknown as { a: [number, number]; b: [number, number] }
      expect(measureDistance(a[1], a[0], b[1], b[0])).toBeCloseTo(expected.geodesic_m!, 3)
      const onSphere = turfDistance([a[1], a[0]], [b[1], b[0]], { units: 'meters' })
      expect(onSphere).toBeCloseTo(expected.haversine_R6371008_m!, 0)
    },
  )
})

describe('area', () => {
  it.each(named('planimeter'))('%s: %s', (_, __, { input, expected, tolerance }) => {
    const ring = ringOf(input.ring_latlon)
    const claim = { source: 'Planimeter, GeographicLib 2.1.2' }
    const [got, within] = [measureRingArea(ring), tolerance.area_m2!]
    check({ ...claim, what: 'area of parcels, degrees, caps, m2', expected: expected.area_m2!, got, within })
    expect(measureRingArea(ring.subarray(0, -2))).toBe(measureRingArea(ring))
  })

  it('goes with perimeters that agree with Planimeter', () => {
    const pairs = all('planimeter').map(
      ({ input, expected }) => [expected.perimeter_m!, measurePathLength(ringOf(input.ring_latlon))] as const,
    )
    checkAll({ what: 'perimeter, m', source: 'Planimeter, GeographicLib 2.1.2', within: 1e-3, pairs })
  })

  it('takes holes off, whichever way round they run', () => {
    const outer = ringOf([
      [41, -75],
      [41, -74],
      [42, -74],
      [42, -75],
    ])
    const hole = ringOf([
      [41.4, -74.6],
      [41.4, -74.4],
      [41.6, -74.4],
      [41.6, -74.6],
    ])
    const net = measureRingArea(outer) - measureRingArea(hole)
    expect(measureArea([[outer, hole]])).toBe(net)
    const layer = layerOf('one', geometryFromPolygons([[[outer, hole]]]), 'EPSG:4326')
    expect(measureLayer(layer)).toEqual({ length: 0, area: net, vertices: 10, parts: 1 })
    const line = layerOf('line', geometryFromPaths([[outer]]), 'EPSG:4326')
    expect(measureLayer(line)).toEqual({ length: measurePathLength(outer), area: 0, vertices: 5, parts: 1 })
  })

  it.skipIf(!hasPlanimeter)('agrees with Planimeter to 1e-9 on irregular rings, across the antimeridian too', () => {
    const rings = Array.from({ length: 12 }, (_, i) => irregularRing(-180 + 30 * i, -60 + 11 * i, 0.001 * 4 ** (i % 6)))
    const pairs = rings.map(ring => {
      const input = `${ring.map(([lat, lon]) => `${lat.toFixed(15)} ${lon.toFixed(15)}`).join('\n')}\n\n`
      const answer = spawnSync('Planimeter', ['-p', '9'], { input, encoding: 'utf8' }).stdout
      return [Number(answer.trim().split(/\s+/)[2]), measureRingArea(ringOf(ring))] as const
    })
    // Planimeter prints areas to 1e-4 square metres, half of which is rounding.
    const tolerance = { share: 1e-9, within: 5.1e-5 }
    checkAll({ what: 'area of irregular rings, m2', source: 'Planimeter, run now', ...tolerance, pairs })
  })

  it('lies within the half per cent of a sphere by a second library (@turf/turf)', () => {
    const ring = irregularRing(-74, 41, 0.05)
    const coordinates = [...ring, ring[0]!].map(([lat, lon]) => [lon, lat])
    const onSphere = turfArea({ type: 'Polygon', coordinates: [coordinates] })
    expect(Math.abs(measureRingArea(ringOf(ring)) / onSphere - 1)).toBeLessThan(0.005)
  })
})

/** A star-shaped ring of 40 vertices about a place, without any drawn number. */
function irregularRing(longitude: number, latitude: number, size: number): [lat: number, lon: number][] {
  return Array.from({ length: 40 }, (_, i) => {
    const angle = (2 * Math.PI * i) / 40
    const radius = size * (1 + 0.4 * Math.sin(5 * angle) + 0.2 * Math.cos(11 * angle))
    return [latitude + radius * Math.sin(angle), longitude + radius * Math.cos(angle)]
  })
}
