import type { Interval, Patch } from '../model/index.ts'

/** The patches of a season taken together; areas in square metres. */
export interface SeasonTotals {
  readonly gross: number
  readonly infested: number
  /** Null where no cover is known. */
  readonly netCanopy: number | null
  /** Of infested ground. */
  readonly coverKnownShare: number
  /** Of gross area; the three sum to 1 where there is any. */
  readonly measuredShare: number
  readonly defaultShare: number
  readonly infillShare: number
  readonly grossInterval: Interval | null
  readonly infestedInterval: Interval | null
  readonly reports: number
}

/**
 * Sums over patches. Position errors of different patches are independent, so the deviations of their intervals add in
 * squares. Null intervals where a patch has none.
 */
export function sumSeason(patches: readonly Patch[]): SeasonTotals {
  const sum = (of: (patch: Patch) => number) => patches.reduce((total, patch) => total + of(patch), 0)
  const [gross, infested] = [sum(patch => patch.grossArea), sum(patch => patch.infestedArea)]
  const ofGross = (share: (patch: Patch) => number) =>
    gross > 0 ? sum(patch => share(patch) * patch.grossArea) / gross : 0
  const canopies = patches.filter(patch => patch.netCanopy !== null)
  return {
    gross,
    infested,
    netCanopy: canopies.length === 0 ? null : canopies.reduce((total, patch) => total + patch.netCanopy!, 0),
    coverKnownShare: infested > 0 ? sum(patch => patch.coverKnownShare * patch.infestedArea) / infested : 0,
    measuredShare: ofGross(patch => patch.measuredShare),
    defaultShare: ofGross(patch => patch.defaultShare),
    infillShare: ofGross(patch => patch.infillShare),
    grossInterval: sumIntervals(patches, patch => [patch.grossArea, patch.grossInterval]),
    infestedInterval: sumIntervals(patches, patch => [patch.infestedArea, patch.infestedInterval]),
    reports: sum(patch => patch.reportIds.length),
  }
}

function sumIntervals(
  patches: readonly Patch[],
  of: (patch: Patch) => readonly [number, Interval | null],
): Interval | null {
  let [value, below, above] = [0, 0, 0]
  for (const patch of patches) {
    const [area, interval] = of(patch)
    if (interval === null) return null
    value += area
    below += (area - interval.low) ** 2
    above += (interval.high - area) ** 2
  }
  return patches.length === 0 ? null : { low: value - Math.sqrt(below), high: value + Math.sqrt(above) }
}
