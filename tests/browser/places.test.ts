/** Coordinates of the readout and the find box against a reference library, and tiles against what was put in. */
import proj4 from 'proj4'
import { expect, test } from 'vitest'
import { GeometryBuilder, layerOf, positionFromUtm, utmFromPosition } from '../../core/geo/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { parsePlace } from '../../renderer/find/parse-place.ts'
import { formatPlace } from '../../renderer/map/coordinates.ts'
import { clipPath, clipRing, thinPath, twiceArea } from '../../renderer/worker/tile-geometry.ts'
import { createTileCutter } from '../../renderer/worker/tiles.ts'

test('UTM agrees with proj4 (extended transverse Mercator) to 1 mm and comes back to 1e-9 degrees', () => {
  const random = createRandom(3)
  for (let i = 0; i < 500; i++) {
    const [longitude, latitude] = [random.next() * 359.9 - 180, random.next() * 160 - 80]
    const place = utmFromPosition([longitude, latitude])
    const projection = new proj4.Proj(`+proj=utm +zone=${place.zone}${place.isNorth ? '' : ' +south'} +datum=WGS84`)
    const reference = projection.forward({ x: (longitude * Math.PI) / 180, y: (latitude * Math.PI) / 180 })!
    expect(Math.abs(place.easting - reference.x)).toBeLessThan(1e-3)
    expect(Math.abs(place.northing - reference.y)).toBeLessThan(1e-3)
    const back = positionFromUtm(place)
    expect(Math.abs(back[0] - longitude)).toBeLessThan(1e-9)
    expect(Math.abs(back[1] - latitude)).toBeLessThan(1e-9)
  }
})

test('a place is written and read back in every notation', () => {
  expect(formatPlace([-45.7634, 35.7128], 'decimal')).toBe('35.71280° N 45.76340° W')
  expect(formatPlace([-45.7634, 35.7128], 'dms')).toBe('35° 42′ 46.1″ N 45° 45′ 48.2″ W')
  for (const text of [
    '35.7128 -45.7634',
    '35.7128, -45.7634',
    '45.7634 W 35.7128 N',
    `35° 42' 46.08" N 45° 45' 48.24" W`,
  ]) {
    const [longitude, latitude] = parsePlace(text)!
    expect(longitude).toBeCloseTo(-45.7634, 6)
    expect(latitude).toBeCloseTo(35.7128, 6)
  }
  const utm = parsePlace(formatPlace([-45.7634, 35.7128], 'utm'))!
  expect(utm[0]).toBeCloseTo(-45.7634, 4)
  expect(formatPlace([-45.7634, 35.7128], 'usng')).toBe('23S MV 30947 52363')
  const [longitude, latitude] = parsePlace('23S MV 30947 52363')!
  expect(longitude).toBeCloseTo(-45.7634, 4)
  expect(latitude).toBeCloseTo(35.7128, 4)
  expect(formatPlace([10, 85], 'utm')).toBe('–')
  expect(formatPlace([10, 85], 'usng')).toBe('–')
})

test.each(['', 'P3', '12', '95 10', '10 N 20 N', '35.7 -45.7 12', '61 N 500000 4000000'])('“%s” is no place', text => {
  expect(parsePlace(text)).toBeNull()
})

test('clipping keeps what is inside and cuts at the frame', () => {
  const frame = { low: 0, high: 10 }
  expect(clipPath([-5, 5, 15, 5], frame)).toEqual([[0, 5, 10, 5]])
  expect(clipPath([2, 2, 20, 2, 20, 8, 2, 8], frame)).toEqual([
    [2, 2, 10, 2],
    [10, 8, 2, 8],
  ])
  expect(clipPath([11, 0, 12, 9], frame)).toEqual([])
  expect(Math.abs(twiceArea(clipRing([-5, -5, 5, -5, 5, 5, -5, 5, -5, -5], frame)))).toBe(50)
  expect(clipRing([20, 20, 30, 20, 30, 30, 20, 20], frame)).toEqual([])
  expect(thinPath([0, 0, 5, 0.1, 10, 0], 1)).toEqual([0, 0, 10, 0])
  expect(thinPath([0, 0, 5, 4, 10, 0], 1)).toEqual([0, 0, 5, 4, 10, 0])
})

test('only style columns reach a tile, and a column named constructor does no harm', () => {
  const builder = new GeometryBuilder()
  builder.addPoint(-45.8, 35.7)
  const text = (name: string, value: string) => ({ name, type: 'text' as const, values: [value] })
  const layer = layerOf('finds', builder.build(), 'EPSG:4326', [
    text('constructor', 'x'),
    text('recorder', 'secret'),
    text('season', '2025'),
  ])
  const bytes = createTileCutter([{ id: 'finds', layer }]).cut(0, 0, 0)
  const read = new TextDecoder('latin1').decode(bytes)
  expect(read).toContain('2025')
  expect(read).not.toContain('secret')
  expect(read).not.toContain('constructor')
})
