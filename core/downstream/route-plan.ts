import {
  type DownstreamSettings,
  type FlowScenario,
  InputError,
  type MultiPolygon,
  type Patch,
  type ReachNetwork,
  type SpeciesProfile,
  type Task,
} from '../model/index.ts'
import { createReachIndex, type ReachIndex } from '../network/index.ts'
import { type LoadPlan, planLoad } from './load-solver.ts'
import { type Barrier, buildWaterSystem, loadSystemFor, type WaterSystem } from './load-system.ts'
import { centralParameters, type LoadParameters } from './parameter-draws.ts'
import { findFloodShedding, findShedding, type PatchShedding } from './patch-entries.ts'

export interface DownstreamInput {
  readonly network: ReachNetwork
  /** Of one season. */
  readonly patches: readonly Patch[]
  readonly season: string
  readonly settings: DownstreamSettings
  readonly profile: SpeciesProfile
  readonly barriers: readonly Barrier[]
  /** Flood extent in degrees; null where none is given. */
  readonly flood: MultiPolygon | null
  /** Protected sites in degrees; deposit within bank distance of them is valued apart. */
  readonly protect?: MultiPolygon | null
}

/** What stands before a scenario is followed. */
export interface RoutePlan {
  readonly input: DownstreamInput
  readonly index: ReachIndex
  readonly water: WaterSystem
  readonly central: LoadParameters
  readonly shedding: Readonly<Record<FlowScenario, readonly (PatchShedding | null)[]>>
}

/** Where patches shed into water, and the water itself. */
export async function planRoute(input: DownstreamInput, task: Task): Promise<RoutePlan> {
  const { patches, settings, flood } = input
  const index = createReachIndex(input.network)
  const water = buildWaterSystem(index, input.barriers, settings.snap, task)
  await task.step(0.02, 'Finding where patches shed into water')
  const ordinary = findShedding(index, patches, settings.bank)
  return {
    input,
    index,
    water,
    central: centralParameters(settings, input.profile),
    shedding: {
      ordinary,
      flood: flood === null ? ordinary : findFloodShedding(index, patches, ordinary, settings.bank, flood),
    },
  }
}

export const retentionOf = (parameters: LoadParameters, scenario: FlowScenario) =>
  scenario === 'ordinary' ? parameters.retentionOrdinary : parameters.retentionFlood

/** The load system of a scenario, factored; every retention length times the factor of a draw. */
export function planScenario({ input, water, central }: RoutePlan, scenario: FlowScenario, factor: number): LoadPlan {
  const { network, profile } = input
  const retention = retentionOf(central, scenario)
  const lake = profile.retention.lake?.value ?? retention
  const system = loadSystemFor(water, retention, factor, lake)
  const onClosedLoop = (arc: number): never => {
    const line = network.lines[network.line[water.graph.reach[arc]!]!]!
    throw new InputError({
      code: 'downstream-closed-loop',
      file: 'waterways',
      row: line.row,
      reason: `line ${line.id} is part of a loop that nothing leaves: no retention, no barrier and no way out`,
      remedy: 'Give the loop a way out, or a finite retention length.',
    })
  }
  return planLoad(system, onClosedLoop, water.components)
}
