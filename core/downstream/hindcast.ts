import type { DownstreamAnswer, Hindcast, ReachNetwork, ReachPlace } from '../model/index.ts'
import { distancesDownstream } from '../network/index.ts'
import { rankAuc } from '../stats/index.ts'
import { LOOK_SHARES } from './look-order.ts'

/**
 * Scores last season's order of looking against the new finds of this season, beside the order by nearest distance downstream alone
 * and beside finds at random on that bank.
 * Both orders run over the bank with any deposit. A find elsewhere lies in neither part and counts with the lowest score.
 * The curve sets the reaches of the finds against the reaches with a deposit on which nothing new was found.
 * Absent: null without finds, without any deposit, and where every reach with a deposit has a new find. Source: Hanley and McNeil (1982), Radiology 143:29-36.
 */
export function scoreHindcast(
  older: DownstreamAnswer,
  network: ReachNetwork,
  finds: readonly ReachPlace[],
  to: string,
): Hindcast | null {
  const { deposit } = older.ordinary
  const reaches = [...deposit.keys()].filter(r => deposit[r]! > 0)
  if (finds.length === 0 || reaches.length === 0) return null
  const load = deposit.map((value, r) => value / network.length[r]!)
  const nearness = nearnessOf(older, network)
  const byLoad = sharesInFirst(load, reaches, network.length, finds)
  const byDistance = sharesInFirst(nearness, reaches, network.length, finds)
  const curve = curveOf(load, reaches, finds)
  const distanceCurve = curveOf(nearness, reaches, finds)
  if (curve === null || distanceCurve === null) return null
  return {
    from: older.season,
    to,
    finds: finds.length,
    inFirstTenth: byLoad.tenth,
    inFirstQuarter: byLoad.quarter,
    distanceInFirstTenth: byDistance.tenth,
    distanceInFirstQuarter: byDistance.quarter,
    chanceInFirstTenth: byLoad.tenthOfBank,
    chanceInFirstQuarter: byLoad.quarterOfBank,
    auc: curve.auc,
    distanceAuc: distanceCurve.auc,
    aucError: curve.standardError,
  }
}

/** Minus the distance from the nearest source to the middle of each reach, or to the source's own place on it. */
function nearnessOf(older: DownstreamAnswer, network: ReachNetwork): Float64Array {
  const sources = older.loads.flatMap(({ entries }) => entries)
  const distances = distancesDownstream(network, sources)
  const nearness = Float64Array.from(
    { length: network.reachCount },
    (_, reach) => -distances.to({ reach, fraction: 0.5 }),
  )
  for (const { reach } of sources) nearness[reach] = 0
  return nearness
}

function sharesInFirst(
  score: Float64Array,
  reaches: readonly number[],
  length: Float64Array,
  finds: readonly ReachPlace[],
) {
  const order = [...reaches].sort((a, b) => score[b]! - score[a]! || a - b)
  const total = order.reduce((sum, reach) => sum + length[reach]!, 0)
  const start = new Map<number, number>()
  let before = 0
  for (const reach of order) {
    start.set(reach, before)
    before += length[reach]!
  }
  const within = (share: number) =>
    finds.filter(({ reach }) => (start.get(reach) ?? Number.POSITIVE_INFINITY) < (share - 1e-9) * total).length /
    finds.length
  // A reach counts whole where it begins, so that a part takes up a little more bank than it is named after.
  const bankOf = (share: number) =>
    order.reduce((sum, reach) => sum + (start.get(reach)! < (share - 1e-9) * total ? length[reach]! : 0), 0) / total
  return {
    tenth: within(LOOK_SHARES.first),
    quarter: within(LOOK_SHARES.next),
    tenthOfBank: bankOf(LOOK_SHARES.first),
    quarterOfBank: bankOf(LOOK_SHARES.next),
  }
}

/** Reaches with new finds against the other reaches of the order; a find elsewhere scores below all. */
function curveOf(score: Float64Array, reaches: readonly number[], finds: readonly ReachPlace[]) {
  const found = new Set(finds.map(({ reach }) => reach))
  const known = new Set(reaches)
  const elsewhere = [...found].filter(reach => !known.has(reach))
  const scores = [...reaches.map(reach => score[reach]!), ...elsewhere.map(() => Number.NEGATIVE_INFINITY)]
  const isFound = [...reaches.map(reach => found.has(reach)), ...elsewhere.map(() => true)]
  return rankAuc(scores, isFound)
}
