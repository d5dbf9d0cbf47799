import { findStrongComponents, type StrongComponents } from '../network/index.ts'
import type { Entries, LoadSystem } from './load-model.ts'
import { factorLoop, type LoopFactor, solveLoop, solveLoopTransposed } from './loop-lu.ts'

/** The system made ready for solving with any entries. */
export interface LoadPlan {
  readonly system: LoadSystem
  readonly components: StrongComponents
  /** Of a unit that enters at the upstream end: what leaves (T), what is laid down, what barriers hold. */
  readonly passed: Float64Array
  readonly laid: Float64Array
  readonly kept: Float64Array
  /** Factors of the loops by component; components without a loop have none. */
  readonly loops: ReadonlyMap<number, LoopFactor>
}

export interface LoadSolution {
  readonly inflow: Float64Array
  readonly own: Float64Array
  readonly outflow: Float64Array
  readonly deposit: Float64Array
  readonly held: Float64Array
  /** What arrives at each node. */
  readonly node: Float64Array
}

/** What becomes of one unit that enters an arc. */
export interface Fate {
  passed: number
  laid: number
  kept: number
}

/** Fate of a unit that enters arc e at x: laid down stretch by stretch, cut at every barrier from x on. Definition 3.2, 3.3. */
export function followArc(system: LoadSystem, arc: number, x: number, into: Fate): void {
  const lambda = system.retention[arc]!
  let flow = 1
  let laid = 0
  let kept = 0
  let at = x
  for (let i = system.barrierOffsets[arc]!; i < system.barrierOffsets[arc + 1]!; i++) {
    const place = system.barrierPlace[i]!
    if (place < x) continue
    const drop = flow * -Math.expm1(-(place - at) / lambda)
    laid += drop
    flow -= drop
    const held = flow * (1 - system.barrierPass[i]!)
    kept += held
    flow -= held
    at = place
  }
  const drop = flow * -Math.expm1(-(system.length[arc]! - at) / lambda)
  into.passed = flow - drop
  into.laid = laid + drop
  into.kept = kept
}

/** The order in which a system is solved; it depends on where the arcs lead alone, so that all scenarios and draws share it. */
export function orderSystem(system: Pick<LoadSystem, 'nodeCount' | 'outOffsets' | 'outArcs' | 'to'>): StrongComponents {
  const targets = system.outArcs.map(arc => system.to[arc]!)
  return findStrongComponents({ nodeCount: system.nodeCount, offsets: system.outOffsets, targets })
}

/** Factors the loops of a system. Errors: `onClosedLoop` is called (and must throw) for a loop that nothing ever leaves. */
export function planLoad(
  system: LoadSystem,
  onClosedLoop: (arc: number) => never,
  components: StrongComponents = orderSystem(system),
): LoadPlan {
  const { arcCount } = system
  const passed = new Float64Array(arcCount)
  const laid = new Float64Array(arcCount)
  const kept = new Float64Array(arcCount)
  const fate: Fate = { passed: 0, laid: 0, kept: 0 }
  for (let arc = 0; arc < arcCount; arc++) {
    followArc(system, arc, 0, fate)
    passed[arc] = fate.passed
    laid[arc] = fate.laid
    kept[arc] = fate.kept
  }
  const loops = new Map<number, LoopFactor>()
  const plan = { system, components, passed, laid, kept, loops }
  for (const c of findLoopComponents(system, components)) {
    requireWayOut(plan, c, onClosedLoop)
    loops.set(c, factorLoop(system, components, passed, c))
  }
  return plan
}

function findLoopComponents(system: LoadSystem, { component }: StrongComponents): number[] {
  const found = new Set<number>()
  for (let arc = 0; arc < system.arcCount; arc++) {
    const c = component[system.from[arc]!]!
    if (component[system.to[arc]!] === c) found.add(c)
  }
  return [...found].sort((a, b) => b - a)
}

/** A loop lets go of its load where an arc lays some down, a barrier holds some, or an arc with a share leaves. */
function requireWayOut(plan: LoadPlan, c: number, onClosedLoop: (arc: number) => never): void {
  const { system, components, passed } = plan
  let firstArc = -1
  for (let i = components.offsets[c]!; i < components.offsets[c + 1]!; i++) {
    const node = components.nodes[i]!
    for (let k = system.outOffsets[node]!; k < system.outOffsets[node + 1]!; k++) {
      const arc = system.outArcs[k]!
      if (firstArc < 0) firstArc = arc
      const isLeaving = components.component[system.to[arc]!] !== c
      if (system.share[arc]! > 0 && (isLeaving || passed[arc]! < 1)) return
    }
  }
  onClosedLoop(firstArc)
}

/** Solves the load on every arc and node. Definition 3.5: (1 - A) N = c, component by component from upstream on. */
export function solveLoad(plan: LoadPlan, entries: Entries): LoadSolution {
  const { system, passed, laid, kept } = plan
  const { arcCount } = system
  const own = new Float64Array(arcCount)
  const ownOut = new Float64Array(arcCount)
  const deposit = new Float64Array(arcCount)
  const held = new Float64Array(arcCount)
  const node = new Float64Array(system.nodeCount)
  const fate: Fate = { passed: 0, laid: 0, kept: 0 }
  for (let k = 0; k < entries.arc.length; k++) {
    const arc = entries.arc[k]!
    const load = entries.load[k]!
    followArc(system, arc, entries.place[k]!, fate)
    own[arc]! += load
    ownOut[arc]! += load * fate.passed
    deposit[arc]! += load * fate.laid
    held[arc]! += load * fate.kept
    node[system.to[arc]!]! += load * fate.passed
  }
  spreadDown(plan, node)
  const inflow = new Float64Array(arcCount)
  const outflow = new Float64Array(arcCount)
  for (let arc = 0; arc < arcCount; arc++) {
    const flow = system.share[arc]! * node[system.from[arc]!]!
    inflow[arc] = flow
    outflow[arc] = flow * passed[arc]! + ownOut[arc]!
    deposit[arc]! += flow * laid[arc]!
    held[arc]! += flow * kept[arc]!
  }
  return { inflow, own, outflow, deposit, held, node }
}

/** Carries what enters each node on to the nodes downstream; `node` holds the direct entries before and the whole flow after. */
function spreadDown(plan: LoadPlan, node: Float64Array): void {
  for (let c = plan.components.count - 1; c >= 0; c--) passComponent(plan, c, node)
}

/** Solves one component and hands its outflow on to the components below it. */
export function passComponent(plan: LoadPlan, c: number, node: Float64Array): void {
  const { system, components, passed } = plan
  const loop = plan.loops.get(c)
  if (loop !== undefined) solveLoop(loop, node)
  for (let i = components.offsets[c]!; i < components.offsets[c + 1]!; i++) {
    const v = components.nodes[i]!
    const flow = node[v]!
    if (flow === 0) continue
    for (let k = system.outOffsets[v]!; k < system.outOffsets[v + 1]!; k++) {
      const arc = system.outArcs[k]!
      const target = system.to[arc]!
      if (components.component[target] !== c) node[target]! += flow * system.share[arc]! * passed[arc]!
    }
  }
}

/**
 * The adjoint: Y[v] is what a unit that arrives at node v still adds to the sum of q times deposit. Definition 3.10.
 * Solved from downstream up with the same factors, transposed.
 */
export function solveAdjoint(plan: LoadPlan, weight: Float64Array): Float64Array {
  const { system, components, passed, laid } = plan
  const value = new Float64Array(system.nodeCount)
  for (let c = 0; c < components.count; c++) {
    for (let i = components.offsets[c]!; i < components.offsets[c + 1]!; i++) {
      const v = components.nodes[i]!
      let sum = 0
      for (let k = system.outOffsets[v]!; k < system.outOffsets[v + 1]!; k++) {
        const arc = system.outArcs[k]!
        const target = system.to[arc]!
        const beyond = components.component[target] === c ? 0 : passed[arc]! * value[target]!
        sum += system.share[arc]! * (weight[arc]! * laid[arc]! + beyond)
      }
      value[v] = sum
    }
    const loop = plan.loops.get(c)
    if (loop !== undefined) solveLoopTransposed(loop, value)
  }
  return value
}

/** Weighted deposit that a unit entering arc e at x causes, on its own reach and beyond. */
export function valueOfEntry(
  plan: LoadPlan,
  weight: Float64Array,
  value: Float64Array,
  arc: number,
  x: number,
): number {
  const fate: Fate = { passed: 0, laid: 0, kept: 0 }
  followArc(plan.system, arc, x, fate)
  return weight[arc]! * fate.laid + fate.passed * value[plan.system.to[arc]!]!
}
