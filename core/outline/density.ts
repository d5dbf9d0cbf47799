import type { PolygonEngine } from '../geo/index.ts'
import type { MultiPolygon } from '../model/index.ts'
import { contourAbove, type Field } from './contour.ts'
import type { Disc } from './discs.ts'

/** Share of the probability mass inside the contour. */
const MASS = 0.95
/** Grid cells along the longer side. */
const CELLS = 96
/** How far beyond the outermost place the field reaches, in bandwidths. */
const MARGIN = 4

/**
 * The outline of a patch by the density of its places: the contour that holds 95 % of the mass of a Gaussian kernel
 * density (a weight a report), united with the discs of plants, which lie inside every outline.
 * Fewer than three places, or places in a line, have no spread to speak of: their discs stand.
 * Source: bandwidth by Silverman (1986), Density Estimation, section 4.3.2, a direction:
 * sd x (4 / (4 n))^(1/6) = sd x n^(-1/6) in two dimensions; mass contour by summing cells in order of density.
 */
export function outlineByDensity(discs: readonly Disc[], infested: MultiPolygon, engine: PolygonEngine): MultiPolygon {
  const bandwidth = silvermanBandwidth(discs)
  if (bandwidth === null) return infested
  const field = buildField(discs, bandwidth)
  return engine.union([contourAbove(field, massLevel(field.values)), infested])
}

/** Bandwidth in x and y, metres; null where there is no spread. */
export function silvermanBandwidth(discs: readonly Disc[]): readonly [number, number] | null {
  const count = discs.reduce((sum, disc) => sum + disc.finds.length, 0)
  const deviation = (of: (disc: Disc) => number) => {
    const mean = discs.reduce((sum, disc) => sum + of(disc) * disc.finds.length, 0) / count
    return Math.sqrt(discs.reduce((sum, disc) => sum + (of(disc) - mean) ** 2 * disc.finds.length, 0) / (count - 1))
  }
  const [sx, sy] = [deviation(disc => disc.x), deviation(disc => disc.y)]
  if (discs.length < 3 || !(sx > 0.01) || !(sy > 0.01)) return null
  const factor = count ** (-1 / 6)
  return [sx * factor, sy * factor]
}

function buildField(discs: readonly Disc[], [hx, hy]: readonly [number, number]): Field {
  const west = Math.min(...discs.map(disc => disc.x)) - MARGIN * hx
  const south = Math.min(...discs.map(disc => disc.y)) - MARGIN * hy
  const width = Math.max(...discs.map(disc => disc.x)) + MARGIN * hx - west
  const height = Math.max(...discs.map(disc => disc.y)) + MARGIN * hy - south
  const cell = Math.max(width, height) / CELLS
  const columns = Math.ceil(width / cell) + 1
  const rows = Math.ceil(height / cell) + 1
  const values = new Float64Array(columns * rows)
  for (const { x, y, finds } of discs) {
    for (let row = 0; row < rows; row++) {
      const dy = (south + row * cell - y) / hy
      if (Math.abs(dy) > MARGIN) continue
      for (let column = 0; column < columns; column++) {
        const dx = (west + column * cell - x) / hx
        if (Math.abs(dx) <= MARGIN) values[row * columns + column]! += finds.length * Math.exp(-(dx * dx + dy * dy) / 2)
      }
    }
  }
  return { west, south, cell, columns, rows, values }
}

/** The density above which cells, densest first, hold the share MASS of the sum. */
export function massLevel(values: Float64Array): number {
  const sorted = Float64Array.from(values).sort().reverse()
  const total = sorted.reduce((sum, value) => sum + value, 0)
  let sum = 0
  for (const value of sorted) {
    sum += value
    if (sum >= MASS * total) return value
  }
  return 0
}
