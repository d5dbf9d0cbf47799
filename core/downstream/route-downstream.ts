import type {
  DownstreamAnswer,
  FlowScenario,
  LoadBalance,
  LoadOnReaches,
  ReachNetwork,
  ReachPlace,
  Task,
} from '../model/index.ts'
import { hoursDownstream } from '../network/index.ts'
import { createRandom, quantileOfSorted } from '../stats/index.ts'
import { type LoadPlan, type LoadSolution, solveLoad } from './load-solver.ts'
import type { WaterSystem } from './load-system.ts'
import { LookDraws, type LookRanks, rankForLooking } from './look-order.ts'
import { findMainSources } from './main-sources.ts'
import { drawParameters } from './parameter-draws.ts'
import { describeLoads, enterWater, type WaterEntries } from './patch-entries.ts'
import { avertedBy, protectedShares, weighReaches } from './patch-values.ts'
import { type DownstreamInput, planRoute, planScenario, type RoutePlan, retentionOf } from './route-plan.ts'

/** Chances that are kept for the band, at most: reaches with deposit x draws, 4 bytes each. */
const MOST_CHANCES = 60_000_000
const FEWEST_DRAWS = 20

/**
 * Where water carries propagules of the patches, in ordinary flow and in flood: load, deposit and chance of arrival a reach,
 * the order of looking with its firmness, main sources, and what the removal of each patch averts.
 * Errors: InputError for a barrier off the water and for a loop that nothing leaves. Accuracy: balances to 1e-9.
 * Cost: linear in the reaches, times the draws for the bands.
 */
export async function routeDownstream(input: DownstreamInput, task: Task): Promise<DownstreamAnswer> {
  const plan = await planRoute(input, task)
  const places = plan.shedding.ordinary.flatMap(sheds => sheds?.places ?? [])
  return {
    season: input.season,
    patchIds: input.patches.map(patch => patch.id),
    loads: describeLoads(input.patches, plan.shedding.ordinary, plan.central),
    ordinary: await routeScenario({ ...plan, scenario: 'ordinary' }, task.part(0.1, 0.55)),
    flood: await routeScenario({ ...plan, scenario: 'flood' }, task.part(0.55, 1)),
    hindcast: null,
    ...hoursFrom(input.network, places),
  }
}

/** Hours from the sources, where any velocity is known. */
function hoursFrom(network: ReachNetwork, places: readonly ReachPlace[]): { hoursFromSource?: Float64Array } {
  if (places.length === 0 || !network.velocity.some(velocity => velocity > 0)) return {}
  const hours = hoursDownstream(network, places)
  const hoursFromSource = new Float64Array(network.reachCount)
  for (let reach = 0; reach < network.reachCount; reach++) {
    const time = hours.to({ reach, fraction: 0.5 })
    hoursFromSource[reach] = Number.isFinite(time) ? time : Number.NaN
  }
  for (const { reach } of places) hoursFromSource[reach] = 0
  return { hoursFromSource }
}

interface Scenario extends RoutePlan {
  readonly scenario: FlowScenario
}

async function routeScenario(run: Scenario, task: Task): Promise<LoadOnReaches> {
  const { water, input, central } = run
  const shedding = run.shedding[run.scenario]
  const { network, patches } = input
  await task.step(0, run.scenario === 'ordinary' ? 'Following ordinary flow' : 'Following flood flow')
  const entries = enterWater(water.graph, water.length, patches, shedding, central)
  const plan = planScenario(run, run.scenario, 1)
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
    sources: sources.shares,
    averted: avertedBy(plan, entries, patches.length, new Float64Array(plan.system.arcCount).fill(1)),
    ...protectedPart(run, plan, entries),
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

function protectedPart(
  { input, index, water }: Scenario,
  plan: LoadPlan,
  entries: WaterEntries,
): { avertedAtProtected?: Float64Array } {
  if (!input.protect || input.protect.length === 0) return {}
  const weight = weighReaches(water, protectedShares(index, input.protect, input.settings.bank))
  return { avertedAtProtected: avertedBy(plan, entries, input.patches.length, weight) }
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
    const plan = planScenario(run, run.scenario, factor)
    const entries = enterWater(water.graph, water.length, input.patches, run.shedding[run.scenario], parameters)
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
