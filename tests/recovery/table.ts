import type { Interval } from '../../core/model/index.ts'

/** One line of the recovery table; `isMet` null where no bar is set. */
export interface Row {
  readonly name: string
  readonly truth: string
  readonly got: string
  readonly bar: string
  readonly isMet: boolean | null
}

/** How many intervals there were and how many held the truth. */
export interface Coverage {
  readonly given: number
  readonly held: number
}

export function countCovered(intervals: readonly (Interval | null)[], truth: number): Coverage {
  const given = intervals.filter(one => one !== null)
  return { given: given.length, held: given.filter(({ low, high }) => low <= truth && truth <= high).length }
}

/** Within this of nothing where nothing moved, metres, and this share of the truth where it did; from the project's own bars. */
const [NEAR_NOTHING, NEAR_TRUTH] = [2, 0.1]
const [LEAST_COVERED, MOST_COVERED] = [0.8, 0.95]

export interface MoveScore {
  readonly name: string
  readonly truth: number
  readonly values: readonly (number | null)[]
  readonly coverage: Coverage
}

/** Mean over runs against the truth, and the share of intervals that hold it. */
export function scoreMove({ name, truth, values, coverage }: MoveScore): Row {
  const known = values.filter(value => value !== null)
  const mean = known.reduce((sum, value) => sum + value, 0) / known.length
  const spread = Math.sqrt(known.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (known.length - 1))
  const error = spread / Math.sqrt(known.length)
  const share = coverage.held / coverage.given
  const isNear = Math.abs(mean - truth) <= (truth === 0 ? NEAR_NOTHING : NEAR_TRUTH * truth)
  return {
    name,
    truth: `${truth} m`,
    got: `${mean.toFixed(1)} +- ${error.toFixed(1)} m; ${heldBy(coverage, values.length)}`,
    bar: `${truth === 0 ? 'within 2 m' : 'within 10 %'}; held by 80-95 %`,
    isMet: isNear && share >= LEAST_COVERED && share <= MOST_COVERED,
  }
}

/** An interval needs ten families; where few runs have them, that is said. */
function heldBy({ given, held }: Coverage, runs: number): string {
  if (given === 0) return 'too few families for an interval'
  return given === runs
    ? `held by ${percent(held / given)}`
    : `held by ${percent(held / given)} of the ${given} with an interval`
}

/** A share of runs against bounds. */
export function scoreShare(name: string, share: number, runs: number, [least, most]: readonly [number, number]): Row {
  return {
    name,
    truth: '',
    got: `${percent(share)} of ${runs}`,
    bar:
      least === 0
        ? `at most ${percent(most)}`
        : most === 1
          ? `at least ${percent(least)}`
          : `${percent(least)}-${percent(most)}`,
    isMet: share >= least && share <= most,
  }
}

export const percent = (share: number): string => `${(share * 100).toFixed(1)} %`

/** The table as text, missed bars counted below it. */
export function formatTable(rows: readonly Row[]): string {
  const head: Row = { name: 'spread: measure', truth: 'truth', got: 'got', bar: 'bar', isMet: null }
  const width = (value: (row: Row) => string) => Math.max(...[head, ...rows].map(row => value(row).length))
  const [name, truth, got, bar] = [width(r => r.name), width(r => r.truth), width(r => r.got), width(r => r.bar)]
  const line = (row: Row, last: string) =>
    [row.name.padEnd(name), row.truth.padStart(truth), row.got.padEnd(got), row.bar.padEnd(bar), last]
      .join('  ')
      .trimEnd()
  const missed = rows.filter(row => row.isMet === false).length
  const judged = rows.filter(row => row.isMet !== null).length
  return [
    line(head, ''),
    ...rows.map(row => line(row, row.isMet === null ? '' : row.isMet ? 'met' : 'MISSED')),
    '',
    `${judged - missed} of ${judged} bars met, ${missed} missed.`,
  ].join('\n')
}
