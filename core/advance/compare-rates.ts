import type { AdvanceAnswer, RateKind } from '../model/index.ts'
import { RATE_KINDS } from '../model/index.ts'
import { ELONGATED } from './rates.ts'

/** What each rate takes for granted, in a sentence. */
export const ASSUMES: Readonly<Record<RateKind, string>> = {
  radial_m_per_year: 'Assumes one round patch and even effort; several patches add up faster than any front moves.',
  distance_m_per_year: 'Assumes that the farthest edge was looked for as hard in every season; one jump moves it.',
  distance_quantile_m_per_year:
    'Assumes that places count from the season they were first seen in; more search finds far places sooner.',
  displacement_m_per_year: 'Assumes that outlines are as complete in every season: more finds fill them out.',
  edge_move_m_per_year: 'Assumes that finds lie within a patch alike in both seasons; free of effort, blind to jumps.',
  along_water_m_per_year:
    'Assumes that spread follows the water from the oldest infested reach; one far find moves it.',
}

/** Pairs of rates whose 90 % intervals do not meet, in the order of the kinds. */
export function disagreements(answer: Pick<AdvanceAnswer, 'rates'>): (readonly [RateKind, RateKind])[] {
  const known = RATE_KINDS.flatMap(kind => {
    const { low, high } = answer.rates[kind]
    return low === null || high === null ? [] : [{ kind, low, high }]
  })
  return known.flatMap((one, i) =>
    known
      .slice(i + 1)
      .flatMap(other => (one.high < other.low || other.high < one.low ? [[one.kind, other.kind] as const] : [])),
  )
}

const REASONS: Readonly<Record<RateKind, string>> = {
  radial_m_per_year: 'Without dated finds of enough seasons the area-equivalent radius leads.',
  distance_m_per_year: 'Only the distance from the origin has four seasons.',
  distance_quantile_m_per_year: 'Only the newly infested places have four seasons.',
  displacement_m_per_year: 'Without dated finds of enough seasons the displacement of the outlines leads.',
  edge_move_m_per_year: 'The edge move leads because it is the one that more or less search does not move.',
  along_water_m_per_year: 'The distance along the water leads because the patches are long and thin.',
}

/** Why the leading rate leads; null where none does. */
export function leadReason({ leads, elongation }: Pick<AdvanceAnswer, 'leads' | 'elongation'>): string | null {
  if (leads === null) return null
  const isElongated = elongation !== null && elongation > ELONGATED
  if (leads === 'edge_move_m_per_year' && isElongated) {
    return 'The edge move leads: patches are long and thin, but the distance along the water has too few seasons.'
  }
  return REASONS[leads]
}
