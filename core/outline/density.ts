import type { PolygonEngine } from '../geo/index.ts'
import type { MultiPolygon, OutlineSettings } from '../model/index.ts'
import {
  type Bandwidths,
  estimateDensity,
  type NodeGrid,
  normalBandwidths,
  plugInBandwidths,
  type WeightedPoints,
} from '../stats/index.ts'
import { contourAbove } from './contour.ts'
import type { Disc } from './discs.ts'

/** Grid cells a bandwidth, and along the longer side at most. */
const CELLS_PER_BANDWIDTH = 8
const MOST_CELLS = 400
/** How far beyond the outermost place the field reaches, in bandwidths. */
const MARGIN = 4

/**
 * The outline of a patch by the density of its places: the contour that holds a share of the mass of a Gaussian kernel
 * density (a weight a report), united with the discs of plants, which lie inside every outline.
 * Fewer than three places, or places in a line, have no spread to speak of: their discs stand. The density knows no edge:
 * mass that falls beyond water or a boundary stays in the sum, and breaks are cut from the contour afterwards, as they are from a closing.
 * Source: bandwidths as in core/stats/bandwidth.ts; mass contour by summing cells in order of density.
 */
export function outlineByDensity(
  discs: readonly Disc[],
  infested: MultiPolygon,
  { settings, engine }: { settings: Pick<OutlineSettings, 'bandwidth' | 'mass'>; engine: PolygonEngine },
): MultiPolygon {
  const points = pointsOf(discs)
  const bandwidths = bandwidthsOf(points, settings.bandwidth)
  if (bandwidths === null) return infested
  const grid = gridRound(points, bandwidths)
  const values = estimateDensity(points, bandwidths, grid)
  return engine.union([contourAbove({ ...grid, values }, massLevel(values, settings.mass)), infested])
}

const pointsOf = (discs: readonly Disc[]): Required<WeightedPoints> => ({
  x: Float64Array.from(discs, disc => disc.x),
  y: Float64Array.from(discs, disc => disc.y),
  weight: Float64Array.from(discs, disc => disc.finds.length),
})

function bandwidthsOf(points: WeightedPoints, rule: OutlineSettings['bandwidth']): Bandwidths | null {
  if (typeof rule === 'number') return points.x.length < 3 ? null : [rule, rule]
  return rule === 'plug-in' ? plugInBandwidths(points) : normalBandwidths(points)
}

function gridRound({ x, y }: WeightedPoints, [hx, hy]: Bandwidths): NodeGrid {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity]
  for (let i = 0; i < x.length; i++) {
    west = Math.min(west, x[i]! - MARGIN * hx)
    east = Math.max(east, x[i]! + MARGIN * hx)
    south = Math.min(south, y[i]! - MARGIN * hy)
    north = Math.max(north, y[i]! + MARGIN * hy)
  }
  const cell = Math.max(Math.min(hx, hy) / CELLS_PER_BANDWIDTH, Math.max(east - west, north - south) / MOST_CELLS)
  return {
    west,
    south,
    cell,
    columns: Math.ceil((east - west) / cell) + 1,
    rows: Math.ceil((north - south) / cell) + 1,
  }
}

/** The density above which cells, densest first, hold a share of the sum. */
export function massLevel(values: Float64Array, mass: number): number {
  const sorted = Float64Array.from(values).sort()
  let total = 0
  for (const value of sorted) total += value
  let sum = 0
  for (let i = sorted.length - 1; i >= 0; i--) {
    sum += sorted[i]!
    if (sum >= mass * total) return sorted[i]!
  }
  return 0
}
