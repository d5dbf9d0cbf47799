import type { GrowthCheck } from '../model/index.ts'
import { linearFit } from '../stats/index.ts'
import { createCellGrid } from './cell-grid.ts'
import { type FirstCell, sampleCells } from './first-cells.ts'

const SEASONS_FOR_GROWTH = 3
/** Newly infested places under which their scatter says nothing. Source: common practice, no source. */
const FEWEST_PLACES = 10

/** Newly infested places of a season that are measured at most. */
const MOST_PLACES = 300

export interface GrowthInput {
  readonly years: readonly number[]
  /** By season, square metres. */
  readonly grossArea: readonly number[]
  readonly cells: readonly FirstCell[]
  readonly cell: number
}

/** Speed of the front of a population that grows at rate r (a year) and scatters with D (square metres a year): 2 sqrt(r D). Source: Fisher (1937) Ann. Eugenics 7:355-369; Skellam (1951) Biometrika 38:196-218. */
export const fisherSpeed = (growth: number, diffusion: number): number => 2 * Math.sqrt(growth * diffusion)

/**
 * The front speed that measured growth and scatter would give on even ground, beside the measured ones.
 *
 * Growth is the slope of the logarithm of gross area on year; diffusion the mean square distance of newly infested places
 * from the nearest ground infested before, over 4 x the years between. Jumps are left out: the formula knows none, nor
 * water that carries one way, so that along water the front runs ahead of it (Lonsdale 1993: inadequate for elongate
 * riparian patches).
 * Absent: null with a reason under three seasons with ground, without growth, or with few newly infested places.
 */
export function checkGrowth({ years, grossArea, cells, cell }: GrowthInput): GrowthCheck {
  const known = grossArea.flatMap((area, i) => (area > 0 ? [{ year: years[i]!, log: Math.log(area) }] : []))
  const isKnown = known.length >= SEASONS_FOR_GROWTH
  const fit = isKnown
    ? linearFit(
        known.map(({ year }) => year),
        known.map(({ log }) => log),
      )
    : null
  const scatter = measureScatter(cells, cell)
  const growth = fit?.slope ?? null
  const interval = fit === null || fit.low === null || fit.high === null ? null : { low: fit.low, high: fit.high }
  const reason = reasonAgainst(growth, known.length, scatter)
  const speed = reason === null ? fisherSpeed(growth!, scatter.diffusion!) : null
  return { growth, growthInterval: interval, diffusion: scatter.diffusion, places: scatter.places, speed, reason }
}

interface Scatter {
  readonly diffusion: number | null
  readonly places: number
}

function reasonAgainst(growth: number | null, seasons: number, { places }: Scatter): string | null {
  if (growth === null) return `A growth rate needs ${SEASONS_FOR_GROWTH} seasons with patches; there are ${seasons}.`
  if (!(growth > 0)) return 'The gross area did not grow.'
  if (places < FEWEST_PLACES) {
    return `Scatter needs ${FEWEST_PLACES} newly infested places that no jump brought; there are ${places}.`
  }
  return null
}

function measureScatter(cells: readonly FirstCell[], cell: number): Scatter {
  const years = [...new Set(cells.map(({ year }) => year))].sort((a, b) => a - b)
  let [sum, places] = [0, 0]
  for (const [i, year] of years.entries()) {
    if (i === 0) continue
    const older = createCellGrid(
      cells.filter(one => one.year < year),
      cell,
    )
    const since = year - years[i - 1]!
    const newer = cells.filter(one => one.year === year && !one.isJump)
    for (const { x, y } of sampleCells(newer, MOST_PLACES)) {
      sum += older.nearestDistance(x, y) ** 2 / (4 * since)
      places++
    }
  }
  return { diffusion: places === 0 ? null : sum / places, places }
}
