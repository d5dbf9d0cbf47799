import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { massLevel } from '../../core/outline/density.ts'
import { createRandom, estimateDensity, normalBandwidths, plugInBandwidths } from '../../core/stats/index.ts'
import { check, checkAll } from './check.ts'

/** The 75 points of Ruspini (1970), Information Sciences 2:319-350, as R's package cluster 2.1.4 gives them. */
const rows = readFileSync(new URL('./values/ruspini.csv', import.meta.url), 'utf8')
  .trim()
  .split('\n')
  .slice(1)
  .map(line => line.split(',').map(Number) as [number, number])
const ruspini = { x: Float64Array.from(rows, row => row[0]), y: Float64Array.from(rows, row => row[1]) }

describe('bandwidths', () => {
  // Scott's rule on the Ruspini points, computed with scipy 1.10 (factor times standard deviations).
  it('rules of thumb', () => {
    const [hx, hy] = normalBandwidths(ruspini)!
    const pairs = [[14.853392, hx] as const, [23.716037, hy] as const]
    checkAll({ what: "bandwidths by Scott's rule", source: 'scipy 1.10, Ruspini (1970)', within: 5e-7, pairs })
  })

  // For normal data the best bandwidths are the rule of thumb's: Wand and Jones (1995), section 4.3.
  it('plug-in: the rule of thumb for a normal cloud, well below it for clusters', () => {
    const random = createRandom(5)
    const cloud = {
      x: Float64Array.from({ length: 1200 }, () => 40 * random.normal()),
      y: Float64Array.from({ length: 1200 }, () => 10 * random.normal()),
    }
    const [[px, py], [nx, ny]] = [plugInBandwidths(cloud)!, normalBandwidths(cloud)!]
    const normal = [[nx, px] as const, [ny, py] as const]
    const source = 'Wand and Jones (1995), 4.3'
    checkAll({ what: 'plug-in bandwidths of a normal cloud', source, share: 0.12, pairs: normal })
    // Hpi.diag of R's ks 1.14 gives 10.00 and 13.63 with pilots of its own; the rule of thumb 14.85 and 23.72.
    const [rx, ry] = plugInBandwidths(ruspini)!
    const clusters = [[10.0, rx] as const, [13.63, ry] as const]
    const other = 'R ks 1.14 Hpi.diag, own pilots'
    checkAll({ what: 'plug-in bandwidths of clusters', source: other, share: 0.2, pairs: clusters })
  })

  it('none without spread', () => {
    const line = { x: Float64Array.of(1, 2, 3), y: Float64Array.of(5, 5, 5) }
    expect(normalBandwidths(line)).toBeNull()
    expect(plugInBandwidths(line)).toBeNull()
  })
})

describe('density of the Ruspini points, bandwidth 10', () => {
  // Direct sums, equal in ks 1.14 (H = diag(100, 100)) and MASS kde2d (h = 40, four times the bandwidth).
  const known = [
    [20, 60, 1.96135211149e-4],
    [44, 146, 2.91396799777e-4],
    [98, 115, 1.61806010176e-4],
    [70, 20, 2.05601155345e-4],
    [60, 90, 1.17238422431e-5],
  ] as const
  for (const [cell, tolerance] of [
    [4, 1e-5],
    [2, 1e-3],
    [1, 1e-3],
    [0.4, 1e-3],
  ] as const) {
    it(`five places on cells of ${cell} m, within ${tolerance} of the peak`, () => {
      const pairs = known.map(([x, y, expected]) => {
        const values = estimateDensity(ruspini, [10, 10], {
          west: x - 30 * cell,
          south: y - 20 * cell,
          cell,
          columns: 60,
          rows: 40,
        })
        return [expected, values[20 * 60 + 30]!] as const
      })
      const source = 'R ks 1.14, MASS kde2d'
      checkAll({ what: 'density at five places', source, within: tolerance * known[1][2], pairs })
    })
  }

  // Areas inside which 50 and 95 % of the mass lie, computed by summing cells of ks in order of density; within one cell's width.
  it('areas of the 50 and 95 % contours', () => {
    const values = estimateDensity(ruspini, [10, 10], { west: -50, south: -50, cell: 1, columns: 221, rows: 261 })
    for (const [mass, area, level] of [
      [0.5, 3062.9, 1.09798e-4],
      [0.95, 12616.8, 1.43668e-5],
    ] as const) {
      const found = massLevel(values, mass)
      expect(Math.abs(found / level - 1)).toBeLessThan(0.01)
      const got = values.filter(value => value >= found).length
      const what = `area of the ${mass * 100} % contour`
      check({ what, source: 'cells of R ks 1.14 summed', expected: area, got, share: 0.005 })
    }
  })
})

describe('density against direct sums', () => {
  for (const [hx, hy] of [
    [3, 3],
    [5, 9],
    [12, 30],
    [80, 80],
  ] as const) {
    it(`bandwidths ${hx} and ${hy} cells: within 1e-3 of the peak`, () => {
      const random = createRandom(hx)
      const count = 400
      const x = Float64Array.from({ length: count }, () => 300 * random.next())
      const y = Float64Array.from({ length: count }, () => 200 * random.next())
      const weight = Float64Array.from({ length: count }, () => 1 + random.integer(3))
      const total = weight.reduce((sum, value) => sum + value, 0)
      const grid = { west: -20, south: 10, cell: 1, columns: 331, rows: 207 }
      const values = estimateDensity({ x, y, weight }, [hx, hy], grid)
      const peak = values.reduce((most, value) => Math.max(most, value), 0)
      for (let k = 0; k < 200; k++) {
        const [column, row] = [random.integer(grid.columns), random.integer(grid.rows)]
        const kernels = weight.map((w, i) => {
          const [u, v] = [(x[i]! - grid.west - column) / hx, (y[i]! - grid.south - row) / hy]
          return w * Math.exp(-(u * u + v * v) / 2)
        })
        const direct = kernels.reduce((sum, value) => sum + value, 0) / (total * 2 * Math.PI * hx * hy)
        expect(Math.abs(values[row * grid.columns + column]! - direct)).toBeLessThan(1e-3 * peak)
      }
    })
  }
})
