/** How well a score ranks places with the thing above places without. */
export interface RankAuc {
  /** Chance that a place with the thing scores above one without; ties count half. */
  readonly auc: number
  readonly standardError: number
  readonly positives: number
  readonly negatives: number
}

/**
 * Area under the receiver operating curve by ranks, with its standard error.
 *
 * Absent: null when every place has the thing or none does.
 * Source: Hanley and McNeil (1982) Radiology 143:29-36, exponential approximation of Q1 and Q2.
 */
export function rankAuc(scores: ArrayLike<number>, isPositive: ArrayLike<boolean | number>): RankAuc | null {
  const order = Array.from({ length: scores.length }, (_, i) => i).sort((a, b) => scores[a]! - scores[b]!)
  let [positives, rankSum] = [0, 0]
  for (let start = 0; start < order.length; ) {
    let end = start
    while (end < order.length && scores[order[end]!] === scores[order[start]!]) end++
    const hits = order.slice(start, end).filter(i => isPositive[i]).length
    positives += hits
    // Ties share the mean of their ranks.
    rankSum += (hits * (start + 1 + end)) / 2
    start = end
  }
  const negatives = scores.length - positives
  if (positives === 0 || negatives === 0) return null
  const auc = (rankSum - (positives * (positives + 1)) / 2) / (positives * negatives)
  const q1 = auc / (2 - auc)
  const q2 = (2 * auc * auc) / (1 + auc)
  const spread = auc * (1 - auc) + (positives - 1) * (q1 - auc * auc) + (negatives - 1) * (q2 - auc * auc)
  return { auc, standardError: Math.sqrt(Math.max(0, spread) / (positives * negatives)), positives, negatives }
}
