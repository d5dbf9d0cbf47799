import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  boxOf,
  chooseWorkingFrame,
  createBoxIndex,
  destination,
  distanceToBoundary,
  distanceToPath,
  findNearestOnPath,
  frameFromCrs,
  geometryFromPaths,
  geometryFromPolygons,
  isInside,
  layerOf,
  measureArea,
  measureDistance,
  multiPathOf,
  multiPolygonOf,
  normalPolygons,
  planarArea,
  readWkb,
  signedDistance,
  toGlobePolygons,
  toPlanePolygons,
  writePathsWkb,
  writePolygonsWkb,
} from '../../core/geo/index.ts'
import type { MultiPolygon, Ring } from '../../core/model/index.ts'

fc.configureGlobal({ seed: 35_7458 })

const finite = (min: number, max: number) => fc.double({ min, max, noNaN: true })
const path = fc
  .array(finite(-1e6, 1e6), { minLength: 4, maxLength: 40 })
  .map(list => Float64Array.from(list.slice(0, list.length & ~1)))

/** A star-shaped ring about a point: any radii, angles in order, so it never crosses itself. */
const ring = (reach: number) =>
  fc
    .record({
      x: finite(-1000, 1000),
      y: finite(-1000, 1000),
      radii: fc.array(finite(reach / 10, reach), { minLength: 3, maxLength: 20 }),
    })
    .map(({ x, y, radii }): Ring => {
      const corners = radii.flatMap((radius, i) => {
        const angle = (2 * Math.PI * i) / radii.length
        return [x + radius * Math.cos(angle), y + radius * Math.sin(angle)]
      })
      return Float64Array.from([...corners, corners[0]!, corners[1]!])
    })

describe('frames', () => {
  const local = frameFromCrs('+proj=tmerc +lat_0=35.7 +lon_0=-45.8 +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m')
  const utm = frameFromCrs('EPSG:32623')

  it('go to the plane and back to a hundredth of a micrometre', () => {
    fc.assert(
      fc.property(finite(-49, -42), finite(-80, 84), (longitude, latitude) => {
        for (const frame of [local, utm]) {
          const [backLongitude, backLatitude] = frame.toGlobe(...frame.toPlane(longitude, latitude))
          expect(Math.abs(backLongitude - longitude) * Math.cos((latitude * Math.PI) / 180)).toBeLessThan(1e-13)
          expect(Math.abs(backLatitude - latitude)).toBeLessThan(1e-13)
        }
      }),
    )
  })

  it('keep short distances near the middle to the scale error that they state', () => {
    const frame = chooseWorkingFrame(Float64Array.of(-46.2, 35.4, -45.4, 36))
    fc.assert(
      fc.property(finite(-46.2, -45.41), finite(35.4, 35.99), finite(0, 360), (longitude, latitude, azimuth) => {
        const end = destination(longitude, latitude, azimuth, 100)
        const [x1, y1] = frame.toPlane(longitude, latitude)
        const [x2, y2] = frame.toPlane(...end)
        expect(measureDistance(longitude, latitude, ...end)).toBeCloseTo(100, 7)
        expect(Math.abs(Math.hypot(x2 - x1, y2 - y1) / 100 - 1)).toBeLessThan(frame.scaleError * 1.01 + 1e-9)
      }),
    )
  })

  it('keep areas: planar in the frame against the ellipsoid', () => {
    fc.assert(
      fc.property(ring(500), outer => {
        const plane: MultiPolygon = [[outer]]
        const globe = toGlobePolygons(plane, local)
        expect(Math.abs(measureArea(globe) / planarArea(plane) - 1)).toBeLessThan(2e-7)
        expect(Math.abs(planarArea(toPlanePolygons(globe, local)) / planarArea(plane) - 1)).toBeLessThan(1e-9)
      }),
    )
  })
})

describe('shapes', () => {
  it('survive well-known binary', () => {
    fc.assert(
      fc.property(
        fc.array(path, { maxLength: 4 }),
        fc.array(fc.array(path, { minLength: 1, maxLength: 3 }), { maxLength: 4 }),
        (paths, polygons) => {
          expect(readWkb(writePathsWkb(paths)).paths).toEqual(paths)
          expect(readWkb(writePolygonsWkb(polygons)).polygons).toEqual(polygons)
        },
      ),
    )
  })

  it('survive the columns of a layer', () => {
    const polygons = fc.array(fc.array(path, { minLength: 1, maxLength: 3 }), { maxLength: 3 })
    fc.assert(
      fc.property(
        fc.array(polygons, { maxLength: 5 }),
        fc.array(fc.array(path, { maxLength: 3 }), { maxLength: 5 }),
        (shapes, lines) => {
          const areas = layerOf('areas', geometryFromPolygons(shapes), 'EPSG:4326')
          expect(shapes.map((_, i) => multiPolygonOf(areas, i))).toEqual(shapes)
          const creeks = layerOf('creeks', geometryFromPaths(lines), 'EPSG:4326')
          expect(lines.map((_, i) => multiPathOf(creeks, i))).toEqual(lines)
        },
      ),
    )
  })

  it('have one normal order, however they are turned, started and listed', () => {
    fc.assert(
      fc.property(
        fc.array(ring(100), { minLength: 1, maxLength: 4 }),
        fc.nat(),
        fc.boolean(),
        (rings, start, isReversed) => {
          const turned = rings.map(outer => [turn(outer, start, isReversed)]).reverse()
          expect(normalPolygons(turned)).toEqual(normalPolygons(rings.map(outer => [outer])))
        },
      ),
    )
  })

  it('hold a point exactly when its signed distance is negative, and are nowhere nearer than their boundary', () => {
    fc.assert(
      fc.property(ring(100), finite(-1200, 1200), finite(-1200, 1200), (outer, x, y) => {
        const shape: MultiPolygon = [[outer]]
        const distance = distanceToBoundary(shape, x, y)
        fc.pre(distance > 1e-9)
        expect(signedDistance(shape, x, y) < 0).toBe(isInside(shape, x, y))
        for (let i = 0; i < outer.length; i += 2)
          expect(Math.hypot(outer[i]! - x, outer[i + 1]! - y)).toBeGreaterThanOrEqual(distance - 1e-9)
        const [minX, minY, maxX, maxY] = boxOf(shape)!
        if (x < minX || x > maxX || y < minY || y > maxY) expect(isInside(shape, x, y)).toBe(false)
      }),
    )
  })

  it('are nearest where a walk in small steps finds them nearest', () => {
    fc.assert(
      fc.property(
        fc.array(finite(-100, 100), { minLength: 4, maxLength: 12 }),
        finite(-100, 100),
        finite(-100, 100),
        (list, x, y) => {
          const line = Float64Array.from(list.slice(0, list.length & ~1))
          const place = findNearestOnPath(line, x, y)!
          expect(Math.hypot(place.x - x, place.y - y)).toBeCloseTo(place.distance, 9)
          expect(distanceToPath(line, x, y)).toBeCloseTo(place.distance, 9)
          for (let i = 2; i < line.length; i += 2) {
            for (let t = 0; t <= 1; t += 0.125) {
              const walked = Math.hypot(
                line[i - 2]! + t * (line[i]! - line[i - 2]!) - x,
                line[i - 1]! + t * (line[i + 1]! - line[i - 1]!) - y,
              )
              expect(walked).toBeGreaterThanOrEqual(place.distance - 1e-9)
            }
          }
        },
      ),
    )
  })
})

describe('box index', () => {
  const boxes = fc.array(fc.tuple(finite(-100, 100), finite(-100, 100), finite(0, 20), finite(0, 20)), {
    maxLength: 60,
  })

  it('finds what a look at every box finds', () => {
    fc.assert(
      fc.property(boxes, finite(-100, 100), finite(-100, 100), finite(0, 50), (list, x, y, size) => {
        const flat = Float64Array.from(
          list.flatMap(([left, bottom, width, height]) => [left, bottom, left + width, bottom + height]),
        )
        const index = createBoxIndex(flat)
        const meets = (i: number) =>
          flat[4 * i]! <= x + size && flat[4 * i + 2]! >= x && flat[4 * i + 1]! <= y + size && flat[4 * i + 3]! >= y
        expect(index.search([x, y, x + size, y + size])).toEqual(list.map((_, i) => i).filter(meets))
        const away = (i: number) =>
          Math.hypot(
            Math.max(flat[4 * i]! - x, x - flat[4 * i + 2]!, 0),
            Math.max(flat[4 * i + 1]! - y, y - flat[4 * i + 3]!, 0),
          )
        const near = list
          .map((_, i) => i)
          .filter(i => away(i) <= size)
          .sort((a, b) => away(a) - away(b) || a - b)
        expect(index.neighbours(x, y, 1000, size)).toEqual(near)
        expect(index.neighbours(x, y, 3).length).toBe(Math.min(3, list.length))
      }),
    )
  })

  it('never finds a box that is no box, and finds the others all the same', () => {
    const index = createBoxIndex(Float64Array.of(Number.NaN, 0, 1, 1, 0, 0, 1, 1, 5, 5, 4, 4))
    expect(index.search([-10, -10, 10, 10])).toEqual([1])
    expect(index.neighbours(0, 0, 5, 100)).toEqual([1])
    expect(() => createBoxIndex(new Float64Array(5))).toThrow(/four numbers/)
  })
})

function turn(outer: Ring, start: number, isReversed: boolean): Ring {
  const corners = Array.from({ length: outer.length / 2 - 1 }, (_, i) => [outer[2 * i]!, outer[2 * i + 1]!] as const)
  if (isReversed) corners.reverse()
  const first = start % corners.length
  const turned = [...corners.slice(first), ...corners.slice(0, first)]
  return Float64Array.from([...turned, turned[0]!].flat())
}
