import { spawnSync } from 'node:child_process'
import { describe, expect, it } from 'vitest'
import {
  type Crs,
  chooseWorkingFrame,
  findCrs,
  frameFromCrs,
  geometryFromPoints,
  gridConvergence,
  layerOf,
  listCrs,
  planarArea,
  pointScale,
  projectionOf,
  projectLayerToGlobe,
  toPlanePolygons,
  utmFrame,
  utmZone,
} from '../../core/geo/index.ts'
import { createProjection } from '../../core/geo/projection.ts'
import { createTransverseMercator } from '../../core/geo/transverse-mercator.ts'
import { check, checkAll } from './check.ts'
import values from './values/geodesy.json' with { type: 'json' }

interface Check {
  readonly id: string
  readonly input: Record<string, number>
  readonly expected: Record<string, number | string | null>
  readonly tolerance: Record<string, number>
  readonly source: string
}
const checks = values as unknown as Check[]
const named = (prefix: string) =>
  checks.filter(check => check.id.startsWith(prefix)).map(check => [check.id, check.source, check] as const)
const all = (prefix: string) => checks.filter(({ id }) => id.startsWith(prefix))
const one = (id: string) => checks.find(check => check.id === id)!

const hasCs2cs = spawnSync('cs2cs', [], { input: '' }).error === undefined
if (!hasCs2cs) console.info('cs2cs (proj-bin) is not installed: projections are checked by committed values only.')

describe('UTM', () => {
  it.each(named('utm'))('%s: %s', (_, __, { input, expected, tolerance }) => {
    const frame = utmFrame(input.lon!, input.lat!)
    const zone = String(expected.zone)
    const base = zone.endsWith('S') ? 32700 : 32600
    expect(frame.crs).toBe(`EPSG:${base + Number.parseInt(zone, 10)}`)
    const [x, y] = frame.toPlane(input.lon!, input.lat!)
    // The values are printed to a tenth of a millimetre, half of which is rounding.
    const within = Math.max(tolerance.m!, 1e-4)
    expect(Math.abs(x - Number(expected.easting_m))).toBeLessThanOrEqual(within)
    expect(Math.abs(y - Number(expected.northing_m))).toBeLessThanOrEqual(within)
    if (expected.convergence_deg === null) return
    const convergence = gridConvergence(frame, input.lon!, input.lat!)
    expect(Math.abs(convergence - Number(expected.convergence_deg))).toBeLessThanOrEqual(tolerance.convergence_deg!)
    const scale = pointScale(frame, input.lon!, input.lat!)
    expect(Math.abs(scale - Number(expected.point_scale))).toBeLessThanOrEqual(tolerance.scale!)
  })

  it('has the coordinates, convergence and point scale of GeographicLib', () => {
    const known = all('utm').filter(({ expected }) => expected.convergence_deg !== null)
    const frames = known.map(({ input, expected }) => ({
      place: [input.lon!, input.lat!] as const,
      frame: utmFrame(input.lon!, input.lat!),
      expected,
    }))
    const source = 'GeoConvert, GeographicLib 2.1.2'
    for (const [what, within] of [
      ['UTM coordinates, m', 1e-4],
      ['UTM coordinates at the edges of zones, m', 1e-3],
    ] as const) {
      const pairs = all('utm')
        .filter(({ tolerance }) => tolerance.m === within)
        .flatMap(({ input, expected }) => {
          const [x, y] = utmFrame(input.lon!, input.lat!).toPlane(input.lon!, input.lat!)
          return [[Number(expected.easting_m), x] as const, [Number(expected.northing_m), y] as const]
        })
      checkAll({ what, source, within, pairs })
    }
    checkAll({
      what: 'grid convergence, degrees',
      source,
      within: 1e-8,
      pairs: frames.map(({ frame, place, expected }) => [
        Number(expected.convergence_deg),
        gridConvergence(frame, ...place),
      ]),
    })
    checkAll({
      what: 'point scale',
      source,
      within: 1e-10,
      pairs: frames.map(({ frame, place, expected }) => [Number(expected.point_scale), pointScale(frame, ...place)]),
    })
  })

  // NGA.SIG.0012_2.0.0_UTMUPS (2014): zone 32 widened at 56-64 N; 31, 33, 35, 37 alone at 72-84 N between 0 and 42 E.
  it.each([
    [2.999, 60, 31],
    [3, 60, 32],
    [3, 64, 31],
    [8.999, 72, 31],
    [9, 72, 33],
    [20.999, 80, 33],
    [21, 80, 35],
    [32.999, 80, 35],
    [33, 84, 37],
    [42, 80, 38],
    [-0.001, 80, 30],
    [180, 0, 1],
    [-180, 0, 1],
    [179.999, 0, 60],
    [-45.8, 35.7, 23],
  ])('longitude %d, latitude %d lies in zone %d', (longitude, latitude, zone) => {
    expect(utmZone(longitude, latitude)).toBe(zone)
  })

  it('is not defined about the poles', () => {
    expect(() => utmZone(0, 84.1)).toThrow(/80 S to 84 N/)
    expect(() => utmZone(0, Number.NaN)).toThrow(/80 S to 84 N/)
  })

  it.each(named('planar-vs-geodesic-area'))('%s: %s', (_, __, { input, expected }) => {
    const { ring_latlon } = input as unknown as { ring_latlon: [number, number][] }
    const ring = Float64Array.from([...ring_latlon, ring_latlon[0]!].flatMap(([lat, lon]) => [lon, lat]))
    const area = planarArea(toPlanePolygons([[ring]], utmFrame(-75, 41)))
    const value = Number(expected.utm18_planar_m2)
    check({ what: 'area on the UTM plane, m2', source: 'pyproj 3.4.1', expected: value, got: area, share: 1e-8 })
  })
})

describe('worked examples of IOGP Guidance Note 7-2', () => {
  it(`transverse Mercator: ${one('tm-epsg9807').source}`, () => {
    const { input, expected, tolerance } = one('tm-epsg9807')
    const projection = createTransverseMercator({
      centralMeridian: input.lon0!,
      originLatitude: input.lat0!,
      scale: input.k0!,
      falseEasting: input.FE!,
      falseNorthing: input.FN!,
      ellipsoid: { a: 6377563.396, inverseFlattening: 299.3249646 },
    })
    const [x, y] = projection.forward(input.lon!, input.lat!)
    checkGuidance('transverse Mercator', [Number(expected.E), x], [Number(expected.N), y], tolerance.m!)
    // The exact values by PROJ, to the digits printed.
    expect(Math.abs(x - 577274.9838)).toBeLessThanOrEqual(1e-4)
    expect(Math.abs(y - 69740.4923)).toBeLessThanOrEqual(1e-4)
  })

  it(`Lambert conic conformal, one parallel: ${one('lcc1sp-epsg9801').source}`, () => {
    const projection = createProjection(
      '+proj=lcc +lat_1=18 +lat_0=18 +lon_0=-77 +k_0=1 +x_0=250000 +y_0=150000 +ellps=clrk66',
    )
    const [x, y] = projection.forward(-(76 + 56 / 60 + 37.26 / 3600), 17 + 55 / 60 + 55.8 / 3600)
    checkGuidance('Lambert conic, one parallel', [255966.58, x], [142493.51, y], 0.01)
  })

  it(`Lambert conic conformal, two parallels, US survey feet: ${one('lcc2sp-epsg9802').source}`, () => {
    const parallels = `+lat_1=${28 + 23 / 60} +lat_2=${30 + 17 / 60} +lat_0=${27 + 50 / 60}`
    // The false easting of 2,000,000 ft in metres; Clarke 1866 as in the example.
    const ellipsoid = `+a=${(20925832.16 * 1200) / 3937} +rf=294.9787`
    const projection = createProjection(
      `+proj=lcc ${parallels} +lon_0=-99 +x_0=${(2000000 * 1200) / 3937} +y_0=0 ${ellipsoid} +units=us-ft`,
    )
    const [x, y] = projection.forward(-96, 28.5)
    checkGuidance('Lambert conic, two parallels, US ft', [2963503.91, x], [254759.8, y], 0.01)
  })
})

type Pair = readonly [expected: number, got: number]
function checkGuidance(what: string, east: Pair, north: Pair, within: number): void {
  checkAll({ what, source: 'IOGP Guidance Note 7-2, worked example', within, pairs: [east, north] })
}

describe('systems of the table', () => {
  // 0.001 of the unit in the note of the values; here to the digits printed.
  it.each(['EPSG:26918', 'EPSG:2271', 'EPSG:5070'])('%s as cs2cs has it', code => {
    const projection = projectionOf(findCrs(code)!)
    const pairs = all('epsg').flatMap(({ input, expected }) => {
      const { to_crs, lon, lat } = input as unknown as { to_crs: string; lon: number; lat: number }
      const [x, y] = projection.forward(lon, lat)
      return to_crs === code ? [[Number(expected.x), x] as const, [Number(expected.y), y] as const] : []
    })
    checkAll({ what: 'coordinates in EPSG:26918, 2271, 5070', source: 'cs2cs, PROJ 9.1.1', within: 2e-4, pairs })
  })

  it('names no datum shift and knows the unit and the area of every system', () => {
    const all = listCrs()
    expect(all.length).toBeGreaterThan(1500)
    for (const crs of all) {
      expect(crs.projection).not.toMatch(/towgs84|nadgrids|datum/)
      expect(crs.area.every(Number.isFinite)).toBe(true)
      expect(crs.area[1]).toBeLessThan(crs.area[3])
    }
    expect(findCrs('EPSG:2264')!.unit).toBe('US survey foot')
    expect(findCrs('EPSG:2251')!.unit).toBe('foot')
    expect(findCrs('EPSG:4267')).toBeUndefined()
    expect(findCrs('EPSG:constructor')).toBeUndefined()
  })

  // Every 120th system; each at three places of its area, against PROJ.
  const sample = listCrs().filter((crs, i) => !crs.isGeographic && i % 120 === 0)
  const always = ['EPSG:3857', 'EPSG:5070', 'EPSG:2264', 'EPSG:26918', 'EPSG:32623', 'EPSG:32119', 'EPSG:2251'].map(
    code => findCrs(code)!,
  )
  it.skipIf(!hasCs2cs)('agrees with cs2cs to 1 mm and comes back', () => {
    const offs: [expected: number, got: number][] = []
    for (const crs of [...always, ...sample]) {
      const places = placesIn(crs)
      const projection = projectionOf(crs)
      for (const [i, [x, y]] of throughProj(crs, places).entries()) {
        const [longitude, latitude] = places[i]!
        const [ownX, ownY] = projection.forward(longitude, latitude)
        expect(Math.hypot(ownX - x, ownY - y) * projection.metresPerUnit, crs.code).toBeLessThan(1e-3)
        offs.push([x * projection.metresPerUnit, ownX * projection.metresPerUnit])
        offs.push([y * projection.metresPerUnit, ownY * projection.metresPerUnit])
        const [backLongitude, backLatitude] = projection.inverse(ownX, ownY)
        expect(Math.abs(backLatitude - latitude), crs.code).toBeLessThan(1e-9)
        expect(Math.abs(Math.cos(((backLongitude - longitude) * Math.PI) / 180) - 1), crs.code).toBeLessThan(1e-15)
      }
    }
    const what = `coordinates in ${always.length + sample.length} registered systems, m`
    checkAll({ what, source: 'cs2cs (PROJ), run now', within: 1e-3, pairs: offs })
  })
})

function placesIn({ area: [west, south, east, north] }: Crs): [number, number][] {
  const width = west > east ? east + 360 - west : east - west
  return [
    [0.1, 0.1],
    [0.5, 0.5],
    [0.9, 0.85],
  ].map(([a, b]) => [Number((west + width * a!).toFixed(9)), Number((south + (north - south) * b!).toFixed(9))])
}

function throughProj(crs: Crs, places: readonly [number, number][]): [number, number][] {
  const datum = /^[^/]*/.exec(crs.name)![0].trim()
  const globe = listCrs().find(other => other.isGeographic && other.name === datum)!.code
  const input = places.map(([longitude, latitude]) => `${latitude} ${longitude}\n`).join('')
  const { stdout } = spawnSync('cs2cs', ['-f', '%.6f', globe, crs.code], { input, encoding: 'utf8' })
  return stdout
    .trim()
    .split('\n')
    .map(line => {
      const [x, y] = line.trim().split(/\s+/)
      return [Number(x), Number(y)]
    })
}

describe('working frame', () => {
  const county = Float64Array.of(-46.1, 35.5, -45.6, 35.9, -45.9, 35.6)

  it('stands at the middle of the data, rounded, in whatever order they come', () => {
    const frame = chooseWorkingFrame(county)
    expect(frame.crs).toBe('+proj=tmerc +lat_0=35.7 +lon_0=-45.85 +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m')
    expect(frame.toPlane(-45.85, 35.7)).toEqual([0, 0])
    expect(chooseWorkingFrame(Float64Array.of(-45.6, 35.9, -45.9, 35.6, -46.1, 35.5)).crs).toBe(frame.crs)
    expect(frame.scaleError).toBeLessThan(1e-5)
    expect(frameFromCrs(frame.crs).toPlane(-45.6, 35.9)).toEqual(frame.toPlane(-45.6, 35.9))
  })

  it.skipIf(!hasCs2cs)('agrees with cs2cs to a tenth of a millimetre', () => {
    const frame = chooseWorkingFrame(county)
    const text = '+proj=longlat +ellps=WGS84'
    const args = ['-f', '%.6f', ...text.split(' '), '+to', ...frame.crs.split(' ')]
    const { stdout } = spawnSync('cs2cs', args, { input: '-46.1 35.5\n-45.6 35.9\n-45.9 35.6\n', encoding: 'utf8' })
    const lines = stdout
      .trim()
      .split('\n')
      .map(line => line.trim().split(/\s+/).map(Number))
    for (const [i, [x, y]] of lines.entries()) {
      const [ownX, ownY] = frame.toPlane(county[2 * i]!, county[2 * i + 1]!)
      expect(Math.hypot(ownX - x!, ownY - y!)).toBeLessThan(1e-4)
    }
  })

  it('crosses the antimeridian', () => {
    const frame = chooseWorkingFrame(Float64Array.of(179.9, 52, -179.9, 52.1))
    expect(Math.abs(frame.toPlane(180, 52.05)[0])).toBeLessThan(1e-6)
    expect(frame.toPlane(-179.9, 52.05)[0]).toBeGreaterThan(6000)
  })

  // 1/1000 of scale on a sphere of 6371 km lies at x = R sqrt(0.002) = 285 km from the central meridian.
  it('refuses data that reach too far', () => {
    const wide = (halfWidth: number) => Float64Array.of(-halfWidth, 0, halfWidth, 0)
    expect(() => chooseWorkingFrame(wide(2.5))).not.toThrow()
    expect(() => chooseWorkingFrame(wide(2.6))).toThrow(/too far for one working frame/)
    expect(() => chooseWorkingFrame(new Float64Array(0))).toThrow(/no position/)
  })

  it('takes registered systems in metres only', () => {
    expect(frameFromCrs('EPSG:32119').name).toBe('NAD83 / North Carolina')
    expect(() => frameFromCrs('EPSG:2264')).toThrow(/feet/)
    expect(() => frameFromCrs('EPSG:4326')).toThrow(/degrees/)
    expect(() => frameFromCrs('EPSG:26718')).toThrow(/not among/)
  })
})

describe('a layer brought to degrees', () => {
  const points = (crs: string | null, ...places: [number, number][]) => ({
    ...layerOf('wells', geometryFromPoints(places), crs),
    rows: Uint32Array.from(places, (_, i) => i + 2),
  })

  // EPSG:2271 and its values by PROJ 9.1.1, see values/geodesy.json, epsg2271-41.
  it('is where PROJ puts it', () => {
    const layer = projectLayerToGlobe(points('EPSG:2271', [2727451.9012, 315673.9143]))
    expect(layer.crs).toBe('EPSG:4326')
    expect(layer.geometry.coords[0]).toBeCloseTo(-75, 8)
    expect(layer.geometry.coords[1]).toBeCloseTo(41, 8)
  })

  it('keeps degrees as they are', () => {
    const layer = points('EPSG:4326', [-75, 41])
    expect(projectLayerToGlobe(layer)).toBe(layer)
    expect(projectLayerToGlobe(points('EPSG:4269', [-75, 41])).geometry.coords).toEqual(Float64Array.of(-75, 41))
  })

  it.each([
    ['no CRS', points(null, [0, 0]), 'no-crs', undefined],
    ['an unknown CRS', points('Some Local Grid', [0, 0]), 'crs-not-known', undefined],
    ['NAD27', points('NAD_1927_UTM_Zone_18N', [500000, 4500000]), 'crs-grid-needed', undefined],
    ['NAD27 by its code', points('EPSG:26718', [500000, 4500000]), 'crs-grid-needed', undefined],
    ['latitude 95', points('EPSG:4326', [1, 2], [-75, 95]), 'coordinate-range', 3],
    ['metres named degrees', points('EPSG:4326', [500000, 4500000]), 'coordinate-range', 2],
    ['no number', points('EPSG:4326', [Number.NaN, 1]), 'coordinate-not-finite', 2],
    ['infinity', points('EPSG:26918', [500000, 4500000], [Number.POSITIVE_INFINITY, 1]), 'coordinate-not-finite', 3],
    ['a place beyond the projection', points('EPSG:26918', [1e9, 4500000]), 'outside-crs', 2],
    ['a place far outside the zone', points('EPSG:2271', [-50000000, 0]), 'outside-crs-area', undefined],
    ['feet named metres', points('EPSG:32119', [2000000, 700000]), 'outside-crs-area', undefined],
  ])('refuses %s', (_, layer, code, row) => {
    expect(() => projectLayerToGlobe(layer)).toThrow(
      expect.objectContaining({ problem: expect.objectContaining({ code, ...(row === undefined ? {} : { row }) }) }),
    )
  })
})
