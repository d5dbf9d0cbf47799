import { FLOW_SCENARIOS, type FlowScenario, type SourceShare, type Task } from '../model/index.ts'
import { distancesUpstream } from '../network/index.ts'
import { enterWater } from './patch-entries.ts'
import { avertedBy, weighReaches } from './patch-values.ts'
import { type DownstreamInput, planRoute, planScenario, type RoutePlan } from './route-plan.ts'

/**
 * Where what settles on a reach could have come from: the patches whose load comes there, the largest share first.
 * One adjoint a scenario, weighted with the reach alone: what each patch sheds times what of it is laid down there.
 * Absent: an empty list where nothing that a patch sheds comes there. Cost: linear in the reaches. Source: definition 3.10.
 */
export async function traceSources(
  input: DownstreamInput,
  reach: number,
  task: Task,
): Promise<Record<FlowScenario, SourceShare[]>> {
  const plan = await planRoute(input, task)
  const [ordinary, flood] = FLOW_SCENARIOS.map(scenario => sharesOn(plan, scenario, reach))
  return { ordinary: ordinary!, flood: flood! }
}

function sharesOn(plan: RoutePlan, scenario: FlowScenario, reach: number): SourceShare[] {
  const { input, water, central } = plan
  const shedding = plan.shedding[scenario]
  const entries = enterWater(water.graph, water.length, input.patches, shedding, central)
  const weight = weighReaches(water, [{ reach, weight: 1 }])
  const deposits = avertedBy(planScenario(plan, scenario, 1), entries, input.patches.length, weight)
  const total = deposits.reduce((sum, deposit) => sum + deposit, 0)
  if (!(total > 0)) return []
  const up = distancesUpstream(input.network, [{ reach, fraction: 0.5 }])
  const distanceTo = (patch: number): number | null => {
    const least = Math.min(...(shedding[patch]?.places ?? []).map(place => up.to(place)))
    return Number.isFinite(least) ? least : null
  }
  return [...deposits.keys()]
    .filter(patch => deposits[patch]! > 0)
    .sort((a, b) => deposits[b]! - deposits[a]! || a - b)
    .map(patch => ({
      patchId: input.patches[patch]!.id,
      share: deposits[patch]! / total,
      deposit: deposits[patch]!,
      distance: distanceTo(patch),
    }))
}
