import type { AlongWater, Rate, RateKind, SeasonMove, SectorEdge } from '../model/index.ts'
import type { FirstCell } from './first-cells.ts'
import type { Origins } from './origins.ts'
import { rateFromQuantile } from './quantile-rate.ts'
import { rateFromCumulated, rateFromSlope, rateFromSteps } from './rates.ts'

export interface RateInput {
  readonly seasons: readonly string[]
  readonly years: readonly number[]
  readonly effectiveRadius: readonly number[]
  readonly visits: readonly (number | null)[]
  readonly moves: readonly SeasonMove[]
  readonly alongWater: readonly AlongWater[]
  readonly sectors: readonly SectorEdge[]
  /** Places with the season that first saw them, and what their distance counts from. */
  readonly cells: readonly FirstCell[]
  readonly origins: Origins | null
  readonly sectorCount: number
}

/** All rates of an answer, each with what it is and why it may be absent. */
export function collectRates(input: RateInput): Record<RateKind, Rate> {
  const { seasons, years, effectiveRadius, visits, moves, sectors } = input
  const yearOf = new Map(seasons.map((season, i) => [season, years[i]!]))
  const steps = (value: (move: SeasonMove) => number | null) =>
    moves.map(move => ({ years: yearOf.get(move.to)! - yearOf.get(move.from)!, move: value(move) }))
  const downstream = seasons.map(season => input.alongWater.find(entry => entry.season === season)?.downstream ?? null)
  return {
    radial_m_per_year: rateFromSlope(
      // A season in which nobody looked and nothing was outlined says nothing; one that was searched and clear says zero.
      { years, values: effectiveRadius.map((radius, i) => (radius === 0 && !visits[i] ? null : radius)) },
      'Area-equivalent radius sqrt(gross area / pi) on year, least squares. With several patches it is not the speed of their fronts.',
      'No season has a patch.',
    ),
    distance_m_per_year: rateFromSlope(
      { years, values: seasons.map(season => farthestEdge(sectors, season)) },
      `Distance from the origin to the farthest of ${sectorCount(sectors)} sectors' 95th-percentile edges on year, least squares.`,
      'There is no edge to measure from an origin.',
    ),
    distance_quantile_m_per_year: rateFromQuantile(input.cells, input.origins, input.sectorCount),
    displacement_m_per_year: rateFromSteps(
      steps(move => move.median),
      "Mean of the seasons' median boundary displacements over the years between: what the outlines show, whatever the effort.",
      'No two seasons in a row have patches that overlap.',
    ),
    edge_move_m_per_year: rateFromCumulated(
      steps(move => move.edgeMove),
      'Edge moves from the finds at matched effort, added up, on year, least squares.',
      'No two seasons in a row have a patch family with enough finds.',
    ),
    along_water_m_per_year: rateFromSlope(
      { years, values: downstream },
      'Network distance from the oldest infested reach to the farthest infested one downstream on year, least squares.',
      'No patch touches a waterway.',
    ),
  }
}

/** The farthest of a season's 95th-percentile sector edges; null where the season has none. */
export function farthestEdge(sectors: readonly SectorEdge[], season: string): number | null {
  const edges = sectors.flatMap(sector => (sector.season === season && sector.p95 !== null ? [sector.p95] : []))
  return edges.length === 0 ? null : Math.max(...edges)
}

const sectorCount = (sectors: readonly SectorEdge[]): number => new Set(sectors.map(sector => sector.azimuthFrom)).size
