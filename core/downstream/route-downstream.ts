import {
  type DownstreamAnswer,
  type DownstreamSettings,
  type FlowScenario,
  InputError,
  type LoadBalance,
  type LoadOnReaches,
  type MultiPolygon,
  type Patch,
  type ReachNetwork,
  type SpeciesProfile,
  type Task,
} from '../model/index.ts'
import { createReachIndex } from '../network/index.ts'
import { createRandom, quantileOfSorted } from '../stats/index.ts'
import { type LoadPlan, type LoadSolution, planLoad, solveAdjoint, solveLoad, valueOfEntry } from './load-solver.ts'
import { type Barrier, buildWaterSystem, loadSystemFor, type WaterSystem } from './load-system.ts'
import { LookDraws, type LookRanks, rankForLooking } from './look-order.ts'
import { findMainSources } from './main-sources.ts'
import { centralParameters, drawParameters, type LoadParameters } from './parameter-draws.ts'
import {
  describeLoads,
  enterWater,
  findFloodShedding,
  findShedding,
  type PatchShedding,
  type WaterEntries,
} from './patch-entries.ts'

/** Chances that are kept for the band, at most: reaches with deposit x draws, 4 bytes each. */
const MOST_CHANCES = 60_000_000
const FEWEST_DRAWS = 20

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
}

/**
 * Where water carries propagules of the patches, in ordinary flow and in flood: load, deposit and chance of arrival a reach,
 * the order of looking with its firmness, main sources, and what the removal of each patch averts.
 * Errors: InputError for a barrier off the water and for a loop that nothing leaves. Accuracy: balances to 1e-9.
 * Cost: linear in the reaches, times the draws for the bands.
 */
export async function routeDownstream(input: DownstreamInput, task: Task): Promise<DownstreamAnswer> {
  const { network, patches, settings, profile } = input
  const index = createReachIndex(network)
  const water = buildWaterSystem(index, input.barriers, settings.snap, task)
  await task.step(0.02, 'Finding where patches shed into water')
  const ordinarySheds = findShedding(index, patches, settings.bank)
  const floodSheds =
    input.flood === null ? ordinarySheds : findFloodShedding(index, patches, ordinarySheds, settings.bank, input.flood)
  const central = centralParameters(settings, profile)
  const route = (scenario: FlowScenario, shedding: readonly (PatchShedding | null)[], part: Task) =>
    routeScenario({ input, water, central, scenario, shedding }, part)
  return {
    season: input.season,
    patchIds: patches.map(patch => patch.id),
    loads: describeLoads(patches, ordinarySheds, central),
    ordinary: await route('ordinary', ordinarySheds, task.part(0.1, 0.55)),
    flood: await route('flood', floodSheds, task.part(0.55, 1)),
    hindcast: null,
  }
}

interface Scenario {
  readonly input: DownstreamInput
  readonly water: WaterSystem
  readonly central: LoadParameters
  readonly scenario: FlowScenario
  readonly shedding: readonly (PatchShedding | null)[]
}

const retentionOf = (parameters: LoadParameters, scenario: FlowScenario) =>
  scenario === 'ordinary' ? parameters.retentionOrdinary : parameters.retentionFlood

function planScenario(run: Scenario, factor: number): LoadPlan {
  const { network } = run.input
  const system = loadSystemFor(run.water, retentionOf(run.central, run.scenario), factor)
  const onClosedLoop = (arc: number): never => {
    const line = network.lines[network.line[run.water.graph.reach[arc]!]!]!
    throw new InputError({
      code: 'downstream-closed-loop',
      file: 'waterways',
      row: line.row,
      reason: `line ${line.id} is part of a loop that nothing leaves: no retention, no barrier and no way out`,
      remedy: 'Give the loop a way out, or a finite retention length.',
    })
  }
  return planLoad(system, onClosedLoop, run.water.components)
}

async function routeScenario(run: Scenario, task: Task): Promise<LoadOnReaches> {
  const { water, input, central, shedding } = run
  const { network, patches } = input
  await task.step(0, run.scenario === 'ordinary' ? 'Following ordinary flow' : 'Following flood flow')
  const entries = enterWater(water.graph, water.length, patches, shedding, central)
  const plan = planScenario(run, 1)
  const solution = solveLoad(plan, entries)
  const columns = gatherReaches(network, water, solution, entries)
  const ranks = rankForLooking(columns.deposit, network.length)
  const sources = findMainSources(plan, entries, solution, water.graph.reach, columns.deposit)
  const chance = columns.deposit.map(deposit => -Math.expm1(-central.establishment * deposit))
  const band = await drawBand(run, ranks, chance, task)
  return {
    scenario: run.scenario,
    ...columns,
    arrivalChance: chance,
    ...band,
    look: ranks.look,
    rank: ranks.rank,
    mainSource: sources.source,
    mainSourceShare: sources.share,
    balance: balanceOf(network, water, solution, entries),
    averted: avertedBy(plan, entries, patches.length),
  }
}

type LoadColumns = Pick<LoadOnReaches, 'loadIn' | 'loadOwn' | 'loadOut' | 'deposit' | 'held' | 'unrouted'>

/** Sums the two ways of reaches that flow both ways, and adds what could not be routed. */
function gatherReaches(
  network: ReachNetwork,
  water: WaterSystem,
  solution: LoadSolution,
  entries: WaterEntries,
): LoadColumns {
  const gather = (values: Float64Array) => {
    const sums = new Float64Array(network.reachCount)
    for (let arc = 0; arc < values.length; arc++) sums[water.graph.reach[arc]!]! += values[arc]!
    return sums
  }
  const loadOwn = gather(solution.own)
  const unrouted = new Float64Array(network.reachCount)
  for (const { reach, load } of entries.unrouted) {
    unrouted[reach]! += load
    loadOwn[reach]! += load
  }
  return {
    loadIn: gather(solution.inflow),
    loadOwn,
    loadOut: gather(solution.outflow),
    deposit: gather(solution.deposit),
    held: gather(solution.held),
    unrouted,
  }
}

/** Definition 3.6, with the ends of definition 3.4. */
function balanceOf(
  network: ReachNetwork,
  water: WaterSystem,
  solution: LoadSolution,
  entries: WaterEntries,
): LoadBalance {
  const { graph } = water
  let [outletTotal, strandedTotal] = [0, 0]
  for (let v = 0; v < graph.nodeCount; v++) {
    if (graph.outOffsets[v + 1]! > graph.outOffsets[v]!) continue
    if (network.isOutlet[v]) outletTotal += solution.node[v]!
    else strandedTotal += solution.node[v]!
  }
  const sum = (values: Float64Array) => values.reduce((total, value) => total + value, 0)
  const unroutedTotal = entries.unrouted.reduce((total, { load }) => total + load, 0)
  const loadTotal = sum(entries.load) + unroutedTotal
  const [depositTotal, heldTotal] = [sum(solution.deposit), sum(solution.held)]
  const rest = depositTotal + heldTotal + outletTotal + strandedTotal + unroutedTotal
  const balanceError = loadTotal > 0 ? Math.abs(loadTotal - rest) / loadTotal : 0
  return { loadTotal, depositTotal, outletTotal, heldTotal, strandedTotal, unroutedTotal, balanceError }
}

/** Deposit that goes with each patch, by the adjoint. Definition 3.10. */
function avertedBy(plan: LoadPlan, entries: WaterEntries, patchCount: number): Float64Array {
  const weight = new Float64Array(plan.system.arcCount).fill(1)
  const value = solveAdjoint(plan, weight)
  const averted = new Float64Array(patchCount)
  for (let k = 0; k < entries.arc.length; k++) {
    averted[entries.patch[k]!]! +=
      entries.load[k]! * valueOfEntry(plan, weight, value, entries.arc[k]!, entries.place[k]!)
  }
  return averted
}

/** Chances and order of looking over seeded draws of the parameters. Without draws the band is the chance itself and nothing is firm. */
async function drawBand(
  run: Scenario,
  ranks: LookRanks,
  chance: Float64Array,
  task: Task,
): Promise<Pick<LoadOnReaches, 'chanceLow' | 'chanceHigh' | 'lookFirmness'>> {
  const { input, water, central } = run
  const { network, settings } = input
  const reaches = ranks.order.slice().sort()
  const lookFirmness = new Float64Array(network.reachCount).fill(Number.NaN)
  const draws = drawsThatFit(settings.draws, reaches.length, task)
  if (draws === 0) return { chanceLow: chance.slice(), chanceHigh: chance.slice(), lookFirmness }
  const random = createRandom(settings.seed)
  const looks = new LookDraws(reaches, network.length)
  const agreeing = new Uint32Array(reaches.length)
  const chances = new Float32Array(reaches.length * draws)
  for (let draw = 0; draw < draws; draw++) {
    await task.step(draw / draws, 'Drawing parameters within their ranges')
    const parameters = drawParameters(central, input.profile, random)
    const base = retentionOf(central, run.scenario)
    const factor = Number.isFinite(base) ? retentionOf(parameters, run.scenario) / base : 1
    const plan = planScenario(run, factor)
    const entries = enterWater(water.graph, water.length, input.patches, run.shedding, parameters)
    const { deposit } = gatherReaches(network, water, solveLoad(plan, entries), entries)
    for (let i = 0; i < reaches.length; i++) {
      chances[i * draws + draw] = -Math.expm1(-parameters.establishment * deposit[reaches[i]!]!)
    }
    looks.classify(deposit, (i, kind) => {
      if (ranks.look[reaches[i]!] === kind) agreeing[i]!++
    })
  }
  const [chanceLow, chanceHigh] = [new Float64Array(network.reachCount), new Float64Array(network.reachCount)]
  for (let i = 0; i < reaches.length; i++) {
    const own = chances.subarray(i * draws, (i + 1) * draws).sort()
    chanceLow[reaches[i]!] = quantileOfSorted(own, 0.05)
    chanceHigh[reaches[i]!] = quantileOfSorted(own, 0.95)
    lookFirmness[reaches[i]!] = agreeing[i]! / draws
  }
  return { chanceLow, chanceHigh, lookFirmness }
}

function drawsThatFit(draws: number, reaches: number, task: Task): number {
  const fitting = Math.max(FEWEST_DRAWS, Math.floor(MOST_CHANCES / Math.max(1, reaches)))
  if (draws <= fitting) return draws
  task.warn(
    'downstream-fewer-draws',
    `${fitting} draws were made instead of ${draws}: ${reaches} reaches have a deposit.`,
  )
  return fitting
}
