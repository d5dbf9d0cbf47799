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
const named = (prefix: string) =>
  checks.filter(check => check.id.startsWith(prefix)).map(check => [check.id, check.source, check] as const)

const hasPlanimeter = spawnSync('Planimeter', ['--version']).status === 0
if (!hasPlanimeter)
  console.info('Planimeter (geographiclib-tools) is not installed: areas are checked by committed values only.')

const ringOf = (latlon: readonly (readonly [number, number])[]): Float64Array =>
  Float64Array.from([...latlon, latlon[0]!].flatMap(([lat, lon]) => [lon, lat]))

describe('distance and azimuth', () => {
  it.each([...named('geod-series'), ...named('geod-inv')])('%s: %s', (_, __, { input, expected, tolerance }) => {
    const { lon1, lat1, lon2, lat2 } = input as Record<string, number>
    const distance = measureDistance(lon1!, lat1!, lon2!, lat2!)
    // The tolerance of the series is that of the C++ library in double precision; 15 nm is what the algorithm promises.
    expect(Math.abs(distance - expected.s12_m!)).toBeLessThanOrEqual(Math.max(tolerance.s12_m!, 1.5e-8))
    // Between nearly antipodal places on the equator both signs are shortest paths.
    expect(Math.abs(azimuthBetween(lon1!, lat1!, lon2!, lat2!) - expected.azi1!)).toBeLessThanOrEqual(
      Math.max(tolerance.azi_deg!, 1e-8),
    )
  })

  it.each(named('geod-direct'))('%s: %s', (_, __, { input, expected, tolerance }) => {
    const [lon, lat] = destination(input.lon1!, input.lat1!, input.azi1!, input.s12_m!)
    expect(Math.abs(lon - expected.lon2!)).toBeLessThanOrEqual(tolerance.deg!)
    expect(Math.abs(lat - expected.lat2!)).toBeLessThanOrEqual(tolerance.deg!)
  })

  // GeographicLib and pyproj against a sphere: the grid and the great circle are both off, each in its own way.
  it.each(named('planar-vs-geodesic').filter(([id]) => id === 'planar-vs-geodesic'))('%s: %s', (_, __, check) => {
    const { a, b } = check.input as unknown as { a: [number, number]; b: [number, number] }
    expect(measureDistance(a[1], a[0], b[1], b[0])).toBeCloseTo(check.expected.geodesic_m!, 3)
    const onSphere = turfDistance([a[1], a[0]], [b[1], b[0]], { units: 'meters' })
    expect(onSphere).toBeCloseTo(check.expected.haversine_R6371008_m!, 0)
  })
})

describe('area', () => {
  it.each(named('planimeter'))('%s: %s', (_, __, { input, expected, tolerance }) => {
    const ring = ringOf(input.ring_latlon)
    expect(Math.abs(measureRingArea(ring) - expected.area_m2!)).toBeLessThanOrEqual(tolerance.area_m2!)
    expect(Math.abs(measurePathLength(ring) - expected.perimeter_m!)).toBeLessThanOrEqual(tolerance.perimeter_m!)
    expect(measureRingArea(ring.subarray(0, -2))).toBe(measureRingArea(ring))
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
    for (const ring of rings) {
      const input = `${ring.map(([lat, lon]) => `${lat.toFixed(15)} ${lon.toFixed(15)}`).join('\n')}\n\n`
      const answer = spawnSync('Planimeter', ['-p', '9'], { input, encoding: 'utf8' }).stdout
      const expected = Number(answer.trim().split(/\s+/)[2])
      // Planimeter prints areas to 1e-4 square metres, half of which is rounding.
      expect(Math.abs(measureRingArea(ringOf(ring)) - expected)).toBeLessThan(1e-9 * expected + 5.1e-5)
    }
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
