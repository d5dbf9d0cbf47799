import type { AdvanceAnswer, Interval, OutlierPatch, SeasonMove } from '../model/index.ts'

/** The moves from one season to a later one, and what they add up to. */
export interface Span {
  readonly from: string
  readonly to: string
  readonly moves: readonly SeasonMove[]
  readonly edgeMove: number | null
  /** Of a single move only: moves share their middle seasons, so that intervals do not add. */
  readonly edgeMoveInterval: Interval | null
  readonly downstream: number | null
  readonly downstreamInterval: Interval | null
  readonly upstream: number | null
  readonly upstreamInterval: Interval | null
  /** Fewest and most families of any of the moves. */
  readonly families: number
  readonly familiesMost: number
  readonly median: number | null
  readonly newlyFoundArea: number
  /** Outlier patches of the seasons after `from`, farthest first; those of unknown age apart. */
  readonly jumps: readonly OutlierPatch[]
  readonly farAgeUnknown: readonly OutlierPatch[]
  /** Visits in `to` over visits in `from`; null where either is unknown or none. */
  readonly visitRatio: number | null
}

/**
 * Adds up the moves between two seasons of an answer, the older one first whichever was named first.
 * Errors: plain Error for a season that the answer lacks.
 */
export function spanBetween(answer: AdvanceAnswer, one: string, other: string): Span {
  const ends = [answer.seasons.indexOf(one), answer.seasons.indexOf(other)]
  if (ends.includes(-1)) throw new Error(`the answer has no season ${ends[0] === -1 ? one : other}`)
  const [start, end] = [Math.min(...ends), Math.max(...ends)]
  const [from, to] = [answer.seasons[start]!, answer.seasons[end]!]
  const later = new Set(answer.seasons.slice(start + 1, end + 1))
  const moves = answer.moves.filter(move => later.has(move.to))
  const only = moves.length === 1 ? moves[0]! : null
  const total = (value: (move: SeasonMove) => number | null) =>
    moves.length === 0 ? null : moves.reduce<number | null>((sum, move) => addKnown(sum, value(move)), 0)
  const outliers = answer.outliers.filter(outlier => later.has(outlier.season)).sort((a, b) => b.distance - a.distance)
  const [before, after] = [answer.visits[start], answer.visits[end]]
  return {
    from,
    to,
    moves,
    edgeMove: total(move => move.edgeMove),
    edgeMoveInterval: only?.edgeMoveInterval ?? null,
    downstream: total(move => move.edgeMoveDownstream),
    downstreamInterval: only?.edgeMoveDownstreamInterval ?? null,
    upstream: total(move => move.edgeMoveUpstream),
    upstreamInterval: only?.edgeMoveUpstreamInterval ?? null,
    families: moves.length === 0 ? 0 : Math.min(...moves.map(move => move.families)),
    familiesMost: moves.reduce((most, move) => Math.max(most, move.families), 0),
    median: total(move => move.median),
    newlyFoundArea: moves.reduce((sum, move) => sum + move.newlyFoundArea, 0),
    jumps: outliers.filter(outlier => !outlier.isAgeUnknown),
    farAgeUnknown: outliers.filter(outlier => outlier.isAgeUnknown),
    visitRatio: before && after ? after / before : null,
  }
}

const addKnown = (sum: number | null, value: number | null): number | null =>
  sum === null || value === null ? null : sum + value
