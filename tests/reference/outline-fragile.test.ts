import { beforeAll, describe, expect, it } from 'vitest'
import { type Circles, type ClosingEngine, createArcsClosing, isInside, planarArea } from '../../core/geo/index.ts'
import { createRandom, type Random } from '../../core/stats/index.ts'

/**
 * Sets of discs that break link-by-link tracing, each closed with exact arcs alone (the fallback throws) and classified
 * point by point against the definition: a point lies in the closing when no point outside all grown discs is nearer than half.
 */
type Row = [x: number, y: number, r: number]
interface DiscSet {
  readonly rows: Row[]
  readonly half: number
}

const refusing: ClosingEngine = {
  close: () => {
    throw new Error('the arcs did not close')
  },
  closedArea: () => {
    throw new Error('the arcs did not close')
  },
}
const arcs = createArcsClosing(refusing, () => undefined)
const discsOf = (rows: readonly Row[]): Circles => ({
  x: Float64Array.from(rows, row => row[0]),
  y: Float64Array.from(rows, row => row[1]),
  r: Float64Array.from(rows, row => row[2]),
})

let random: Random
beforeAll(() => {
  random = createRandom(31)
})
const pick = <T>(values: readonly T[]): T => values[random.integer(values.length)]!
const rowsOf = (count: number, row: (k: number) => Row): Row[] => Array.from({ length: count }, (_, k) => row(k))

function square(): DiscSet {
  const [n, step, r] = [4 + random.integer(8), pick([20 * Math.SQRT2, 20, 30, 40]), pick([5, 10, 15, 20])]
  return { rows: rowsOf(n * n, k => [(k % n) * step, Math.floor(k / n) * step, r]), half: pick([0, 5, 10, 15, 20, 30]) }
}

function hexagonal(): DiscSet {
  const [n, step, r] = [4 + random.integer(8), pick([20, 30, 20 * Math.sqrt(3), 25]), pick([5, 10, 15])]
  const rows = rowsOf(n * n, k => {
    const row = Math.floor(k / n)
    return [((k % n) + (row % 2) / 2) * step, (row * step * Math.sqrt(3)) / 2, r]
  })
  return { rows, half: pick([0, 5, 15, 20 / Math.sqrt(3), 30]) }
}

function withMovedPoints(): DiscSet {
  const set = pick([square, hexagonal])()
  for (let k = 0; k < 5; k++) {
    const row = pick(set.rows)
    const step = pick([1e-9, 1e-7, 1e-6, 1e-4, 0.01, 1])
    row[0] += step * random.normal()
    row[1] += step * random.normal()
  }
  return set
}

function farAway(): DiscSet {
  const { rows, half } = pick([square, hexagonal, withMovedPoints])()
  return { rows: rows.map(([x, y, r]) => [x + 500_000.123456, y + 9_000_000.654321, r]), half }
}

function doubled(): DiscSet {
  const { rows, half } = pick([square, hexagonal])()
  return { rows: [...rows, ...rows.map(row => [...row] as Row), ...rows.slice(0, 5)], half }
}

function nearlyDoubled(): DiscSet {
  const { rows, half } = pick([square, hexagonal])()
  const step = pick([1e-3, 1e-4, 1e-5, 1e-6, 1e-7, 1e-8])
  const twins = rows.map(([x, y, r]): Row => [x + step * random.normal(), y + step * random.normal(), r])
  return { rows: [...rows, ...twins], half }
}

function tangentAndNested(): DiscSet {
  const rows: Row[] = [[0, 0, 20]]
  for (let k = 0; k < 15; k++) {
    const [x, y, radius] = pick(rows)
    const [r, angle] = [3 + 20 * random.next(), pick([0, Math.PI / 2, 6.283 * random.next()])]
    const d = (random.next() < 0.5 ? Math.abs(radius - r) : radius + r) + pick([0, 1e-9, -1e-9, 1e-7, -1e-6, 1e-4])
    rows.push([x + d * Math.cos(angle), y + d * Math.sin(angle), r])
  }
  return { rows, half: pick([0, 5, 15, 30]) }
}

const wideRadii = (): DiscSet => ({
  rows: rowsOf(60, () => [2000 * random.next(), 2000 * random.next(), 500 ** random.next()]),
  half: pick([0, 15, 60, 200]),
})

const smallUnderBigHalf = (): DiscSet => ({
  rows: rowsOf(3 + random.integer(40), () => [600 * random.next(), 600 * random.next(), pick([0.01, 0.5, 1, 3, 5])]),
  half: 200,
})

function throughOnePoint(): DiscSet {
  const [n, reach] = [3 + random.integer(30), pick([20, 50])]
  const place = (k: number) => (2 * Math.PI * k) / n
  return {
    rows: rowsOf(n, k => [reach * Math.cos(place(k)), reach * Math.sin(place(k)), reach - 15]),
    half: pick([0, 15]),
  }
}

describe('fragile sets close with exact arcs, and every point lies as defined', () => {
  for (const make of [
    square,
    hexagonal,
    withMovedPoints,
    farAway,
    doubled,
    nearlyDoubled,
    tangentAndNested,
    wideRadii,
    smallUnderBigHalf,
    throughOnePoint,
  ]) {
    it(
      make.name.replace(/[A-Z]/g, letter => ` ${letter.toLowerCase()}`),
      () => {
        let looked = 0
        for (let round = 0; round < 8; round++) looked += lookAt(make())
        expect(looked).toBeGreaterThan(100)
      },
    )
  }
})

/** Classifies points of one set; returns how many were far enough from the outline to tell. */
function lookAt({ rows, half }: DiscSet): number {
  const discs = discsOf(rows)
  const { shape, emptyParts } = arcs.close(discs, { half, minimumHole: 0 })
  if (emptyParts === 0) {
    // A neck narrower than the chord error may cross itself once drawn: 1e-4 of the area of tiny discs under a big half.
    expect(Math.abs(planarArea(shape) / arcs.closedArea(discs, half) - 1)).toBeLessThan(2e-3)
  }
  const clearanceOf = createClearance(rows, half)
  const reach = Math.max(...rows.map(row => row[2])) + 5
  const [west, east] = [Math.min(...discs.x) - reach, Math.max(...discs.x) + reach]
  const [south, north] = [Math.min(...discs.y) - reach, Math.max(...discs.y) + reach]
  let looked = 0
  for (let k = 0; k < 60; k++) {
    const [x, y] = [west + (east - west) * random.next(), south + (north - south) * random.next()]
    const clearance = clearanceOf(x, y)
    // The drawn line strays up to 0.05 m from its arc; parts without a disc are left out by definition.
    if (Math.abs(clearance) < 0.06 || (emptyParts > 0 && clearance > 0)) continue
    looked++
    expect(isInside(shape, x, y), `(${x}, ${y}), half ${half}, clearance ${clearance}`).toBe(clearance > 0)
  }
  return looked
}

/** By how much a point is inside the closing; below 0 outside. Discs are a millimetre wider, so that points where circles meet are no voids. */
function createClearance(rows: readonly Row[], half: number): (x: number, y: number) => number {
  if (half === 0) return (x, y) => Math.max(...rows.map(([cx, cy, r]) => r - Math.hypot(x - cx, y - cy)))
  const wide = rows.map(([x, y, r]): Row => [x, y, r + half + 1e-3 + 1e-5 * random.next()])
  const isOutside = (px: number, py: number) =>
    wide.every(([x, y, r]) => (px - x) ** 2 + (py - y) ** 2 >= (r - 1e-8) ** 2)
  const corners = wide.flatMap((a, i) => wide.slice(0, i).flatMap(b => crossings(a, b))).filter(p => isOutside(...p))
  return (px, py) => {
    if (isOutside(px, py)) return -half
    let least = Math.min(Number.POSITIVE_INFINITY, ...corners.map(([x, y]) => Math.hypot(px - x, py - y)))
    for (const [x, y, r] of wide) {
      const d = Math.hypot(px - x, py - y)
      const gap = Math.abs(r - d)
      if (gap < least && isOutside(x + ((px - x) / d) * r, y + ((py - y) / d) * r)) least = gap
    }
    return least - half
  }
}

function crossings([ax, ay, ar]: Row, [bx, by, br]: Row): [number, number][] {
  const [dx, dy] = [bx - ax, by - ay]
  const d = Math.hypot(dx, dy)
  if (d === 0 || d > ar + br || d < Math.abs(ar - br)) return []
  const along = (ar * ar - br * br + d * d) / (2 * d)
  const across = Math.sqrt(Math.max(0, ar * ar - along * along))
  return [-across, across].map(side => [ax + (dx * along - dy * side) / d, ay + (dy * along + dx * side) / d])
}

describe('thousands of discs at one spot', () => {
  it('near-duplicates, 1e-4 m apart', () => {
    const spot = discsOf(rowsOf(3000, () => [1e-4 * random.normal(), 1e-4 * random.normal(), 15]))
    expect(Math.abs(arcs.closedArea(spot, 15) / (Math.PI * 225) - 1)).toBeLessThan(1e-4)
  })

  it('every one of 2,000 exposed', () => {
    const ring = discsOf(rowsOf(2000, k => [Math.cos((k * Math.PI) / 1000), Math.sin((k * Math.PI) / 1000), 15]))
    // Discs about a circle of 1 m: a disc of 16 m but for scallops of (pi / 2000)^2 of its radius.
    expect(Math.abs(arcs.closedArea(ring, 15) / (Math.PI * 256) - 1)).toBeLessThan(1e-5)
  })
})
