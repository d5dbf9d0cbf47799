import fc from 'fast-check'
import { expect, it } from 'vitest'
import { type Circles, type ClosingEngine, createArcsClosing } from '../../core/geo/index.ts'

const refusing: ClosingEngine = {
  close: () => {
    throw new Error('the arcs did not close')
  },
  closedArea: () => {
    throw new Error('the arcs did not close')
  },
}
const arcs = createArcsClosing(refusing, () => undefined)

type Row = readonly [x: number, y: number, r: number]
const discsOf = (rows: readonly Row[]): Circles => ({
  x: Float64Array.from(rows, row => row[0]),
  y: Float64Array.from(rows, row => row[1]),
  r: Float64Array.from(rows, row => row[2]),
})
const areaOf = (rows: readonly Row[], half: number) => arcs.closedArea(discsOf(rows), half)

const metre = (max: number) => fc.double({ min: 0, max, noNaN: true, noDefaultInfinity: true })
const row = fc.tuple(metre(200), metre(200), fc.double({ min: 1, max: 40, noNaN: true }))
const rows = fc.array(row, { minLength: 1, maxLength: 30 })
const half = fc.constantFrom(0, 5, 15, 30)

/** Radii are jittered by under 1e-7 m; in a set whose parts or necks hang by less, that may decide. */
const isClose = (a: number, b: number) => Math.abs(a - b) <= 1e-6 * Math.max(a, b)

it('area stays when everything is moved', () => {
  fc.assert(
    fc.property(rows, half, metre(1e6), metre(5e6), (set, h, dx, dy) => {
      const moved = set.map(([x, y, r]) => [x + dx, y + dy, r] as const)
      expect(isClose(areaOf(set, h), areaOf(moved, h))).toBe(true)
    }),
    { numRuns: 200, seed: 21 },
  )
})

it('area stays when everything is turned', () => {
  fc.assert(
    fc.property(rows, half, metre(6.28), (set, h, angle) => {
      const [c, s] = [Math.cos(angle), Math.sin(angle)]
      const turned = set.map(([x, y, r]) => [c * x - s * y, s * x + c * y, r] as const)
      expect(isClose(areaOf(set, h), areaOf(turned, h))).toBe(true)
    }),
    { numRuns: 200, seed: 22 },
  )
})

it('a further disc never shrinks the closing', () => {
  fc.assert(
    fc.property(rows, row, half, (set, more, h) => {
      expect(areaOf([...set, more], h)).toBeGreaterThanOrEqual(areaOf(set, h) * (1 - 1e-6))
    }),
    { numRuns: 300, seed: 23 },
  )
})

it('the closing holds the union and lies in the grown discs', () => {
  fc.assert(
    fc.property(rows, fc.constantFrom(5, 15, 30), (set, h) => {
      const grown = set.map(([x, y, r]) => [x, y, r + h] as const)
      const closed = areaOf(set, h)
      expect(closed).toBeGreaterThanOrEqual(areaOf(set, 0) * (1 - 1e-6))
      expect(closed).toBeLessThanOrEqual(areaOf(grown, 0) * (1 + 1e-6))
    }),
    { numRuns: 200, seed: 24 },
  )
})
