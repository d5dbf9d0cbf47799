import type { AdvanceAnswer, Chart, ChartPoint, RateKind } from '../model/index.ts'
import { linearFit } from '../stats/index.ts'
import { farthestEdge } from './season-rates.ts'

const TITLES: Readonly<Record<RateKind, string>> = {
  radial_m_per_year: 'Area-equivalent radius',
  distance_m_per_year: 'Farthest edge from the origin',
  distance_quantile_m_per_year: 'Farthest edge from the origin',
  displacement_m_per_year: 'Boundary displacement, added up',
  edge_move_m_per_year: 'Edge move, added up',
  along_water_m_per_year: 'Farthest downstream along the water',
}

/** The leading measure by season with its line; without a lead, whichever measure has most seasons. Null for one season. */
export function advanceChart(answer: AdvanceAnswer): Chart | null {
  const kind = answer.leads ?? longestMeasure(answer)
  const values = valuesOf(answer, kind)
  const points: ChartPoint[] = answer.seasons.map((season, i) => ({
    label: season,
    x: answer.years[i]!,
    y: values[i] ?? null,
    season,
  }))
  if (points.filter(point => point.y !== null).length < 2) return null
  const rate = answer.rates[kind]
  const low = rate.low ?? Number.NaN
  const note =
    rate.value === null
      ? [rate.reason ?? '']
      : [
          { kind: 'rate', value: rate.value, low: rate.low, high: rate.high } as const,
          ` over ${rate.n} seasons, 90 % interval${low <= 0 && (rate.high ?? 0) >= 0 ? '; it holds zero' : ''}.`,
        ]
  return { title: TITLES[kind], kind: 'seasons', yKind: 'length', points, fit: fitOf(answer, kind, points), note }
}

function longestMeasure(answer: AdvanceAnswer): RateKind {
  const order: readonly RateKind[] = [
    'along_water_m_per_year',
    'edge_move_m_per_year',
    'distance_m_per_year',
    'radial_m_per_year',
  ]
  const known = (kind: RateKind) => valuesOf(answer, kind).filter(value => value !== null).length
  return order.reduce((best, kind) => (known(kind) > known(best) ? kind : best))
}

function valuesOf(answer: AdvanceAnswer, kind: RateKind): readonly (number | null)[] {
  switch (kind) {
    case 'radial_m_per_year':
      return answer.effectiveRadius
    case 'distance_m_per_year':
    case 'distance_quantile_m_per_year':
      return answer.seasons.map(season => farthestEdge(answer.sectors, season))
    case 'along_water_m_per_year':
      return answer.seasons.map(season => answer.alongWater.find(entry => entry.season === season)?.downstream ?? null)
    case 'displacement_m_per_year':
      return addUp(answer.moves.map(move => move.median))
    case 'edge_move_m_per_year':
      return addUp(answer.moves.map(move => move.edgeMove))
  }
}

/** Running total from zero in the first season; after a move that is not known the place is not known either. */
function addUp(moves: readonly (number | null)[]): (number | null)[] {
  const totals: (number | null)[] = [0]
  for (const move of moves) {
    const last = totals.at(-1)!
    totals.push(last === null || move === null ? null : last + move)
  }
  return totals
}

function fitOf(answer: AdvanceAnswer, kind: RateKind, points: readonly ChartPoint[]): Chart['fit'] {
  const { value } = answer.rates[kind]
  const known = points.flatMap(point => (point.y === null ? [] : [{ x: point.x, y: point.y }]))
  if (value === null || known.length < 2) return null
  const [first, last] = [known[0]!, known.at(-1)!]
  const at =
    kind === 'displacement_m_per_year'
      ? (x: number) => value * (x - first.x)
      : lineThrough(
          known.map(point => point.x),
          known.map(point => point.y),
        )
  return { from: [first.x, at(first.x)], to: [last.x, at(last.x)] }
}

function lineThrough(x: readonly number[], y: readonly number[]): (at: number) => number {
  const { slope, intercept } = linearFit(x, y)
  return at => intercept + slope * at
}
