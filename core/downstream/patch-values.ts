import type { MultiPolygon } from '../model/index.ts'
import type { ReachIndex } from '../network/index.ts'
import { findBankBeside } from './bank-beside.ts'
import { type LoadPlan, solveAdjoint, valueOfEntry } from './load-solver.ts'
import type { WaterSystem } from './load-system.ts'
import type { WaterEntries } from './patch-entries.ts'

/** Deposit that goes with each patch, by the adjoint, each arc's weighted. Definition 3.10. */
export function avertedBy(
  plan: LoadPlan,
  entries: WaterEntries,
  patchCount: number,
  weight: Float64Array,
): Float64Array {
  const value = solveAdjoint(plan, weight)
  const averted = new Float64Array(patchCount)
  for (let k = 0; k < entries.arc.length; k++) {
    averted[entries.patch[k]!]! +=
      entries.load[k]! * valueOfEntry(plan, weight, value, entries.arc[k]!, entries.place[k]!)
  }
  return averted
}

/** A weight on the deposit of some reaches, 0-1. */
export interface ReachWeight {
  readonly reach: number
  readonly weight: number
}

/** Weights of reaches on their arcs; 0 elsewhere. */
export function weighReaches({ graph }: WaterSystem, weights: readonly ReachWeight[]): Float64Array {
  const byArc = new Float64Array(graph.arcCount)
  for (const { reach, weight } of weights) {
    for (let arc = graph.arcOffsets[reach]!; arc < graph.arcOffsets[reach + 1]!; arc++) byArc[arc] = weight
  }
  return byArc
}

/** Share of each reach that lies inside protected sites or within bank distance of them; where sites are close it counts once. */
export function protectedShares(index: ReachIndex, sites: MultiPolygon, bank: number): ReachWeight[] {
  const lengths = new Map<number, number>()
  for (const site of sites) {
    for (const { reach, length } of findBankBeside(index, [site], bank)) {
      lengths.set(reach, (lengths.get(reach) ?? 0) + length)
    }
  }
  return [...lengths].map(([reach, length]) => ({ reach, weight: Math.min(1, length / index.network.length[reach]!) }))
}
