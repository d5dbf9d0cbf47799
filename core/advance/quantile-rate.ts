import type { Rate } from '../model/index.ts'
import { quantileRegression, studentTQuantile } from '../stats/index.ts'
import { type FirstCell, sampleCells } from './first-cells.ts'
import type { Origins } from './origins.ts'
import { sectorOf } from './sectors.ts'

/** The share of newly infested places that the front leaves behind it. */
const TAU = 0.9
/** Places that the line is laid through at most: more change it little and cost much. */
const MOST_PLACES = 400
/** Sectors that are left out in turn; neighbours in one direction are not independent, directions nearly are. */
const FEWEST_SECTORS = 3
const METHOD =
  'Distance from the origin of newly infested places on the year they were first seen, 0.9-quantile line; interval by leaving out a sector at a time.'

/**
 * Rate a year as the slope of the 0.9-quantile of distance on year of first sight (distance is the dependent side), with
 * a 90 % t interval by the jackknife over sectors. `n` counts places, `r2` has no meaning for a quantile line and is null.
 * Absent: null with a reason under three seasons or without an origin; no interval under three sectors.
 * Source: Koenker and Bassett (1978) Econometrica 46:33-50; Gilbert and Liebhold (2010) Ecography 33:809-817 for distance
 * on year of first sight; jackknife by groups: Quenouille (1956), Tukey (1958).
 */
export function rateFromQuantile(cells: readonly FirstCell[], origins: Origins | null, sectors: number): Rate {
  const seasons = new Set(cells.map(({ year }) => year)).size
  const none = { value: null, low: null, high: null, n: 0, r2: null, method: METHOD, isHeadline: false }
  if (origins === null || cells.length === 0) return { ...none, reason: 'There is no edge to measure from an origin.' }
  if (seasons < 3)
    return {
      ...none,
      n: cells.length,
      reason: `A rate needs 3 seasons with newly infested places; there are ${seasons}.`,
    }
  const known = sampleCells(cells, MOST_PLACES).map(({ x, y, year }) => {
    const { distance, azimuth } = origins.locate(x, y)
    return { distance, year, sector: sectorOf(azimuth, sectors) }
  })
  const slope = (kept: typeof known) =>
    quantileRegression(
      kept.map(({ year }) => year),
      kept.map(({ distance }) => distance),
      TAU,
    ).slope
  const value = slope(known)
  const groups = [...new Set(known.map(({ sector }) => sector))]
    .map(sector => known.filter(one => one.sector !== sector))
    .filter(kept => new Set(kept.map(({ year }) => year)).size > 1)
  const interval = groups.length < FEWEST_SECTORS ? { low: null, high: null } : jackknife(value, groups.map(slope))
  return { ...none, value, ...interval, n: known.length, isHeadline: seasons >= 4, reason: null }
}

function jackknife(value: number, without: readonly number[]): { readonly low: number; readonly high: number } {
  const count = without.length
  const mean = without.reduce((sum, one) => sum + one, 0) / count
  const variance = (without.reduce((sum, one) => sum + (one - mean) ** 2, 0) * (count - 1)) / count
  const reach = studentTQuantile(0.95, count - 1) * Math.sqrt(variance)
  return { low: value - reach, high: value + reach }
}
