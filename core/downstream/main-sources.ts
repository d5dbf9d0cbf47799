import type { SourceShares } from '../model/index.ts'
import { LeastHeap } from '../network/index.ts'
import { type Fate, followArc, type LoadPlan, type LoadSolution, passComponent } from './load-solver.ts'
import type { WaterEntries } from './patch-entries.ts'

/** A patch that brings less than this share of what a node carries cannot be the main source there or below. */
const NEGLIGIBLE = 1e-6

export interface MainSources {
  /** Index into the patches, -1 where nothing arrives. */
  readonly source: Int32Array
  /** Its share of the deposit, 0-1. */
  readonly share: Float64Array
  readonly shares: SourceShares
}

/** Patches that are kept of each reach. */
const KEPT = 8

/**
 * The patches that each reach has most of its deposit from, and the first of them: one walk down the water a patch, only where it goes.
 * Accuracy: shares to 1e-6. Definition 3.11.
 */
export function findMainSources(
  plan: LoadPlan,
  entries: WaterEntries,
  solution: LoadSolution,
  reachOfArc: Uint32Array,
  deposit: Float64Array,
): MainSources {
  const largest = new LargestSources(deposit)
  const walk = new PatchWalk(plan, solution, reachOfArc, deposit.length)
  for (let first = 0; first < entries.patch.length; ) {
    const patch = entries.patch[first]!
    let end = first
    while (end < entries.patch.length && entries.patch[end] === patch) end++
    walk.follow(entries, first, end, (reach, laid) => largest.add(reach, patch, laid))
    first = end
  }
  return largest.finish()
}

/** Keeps the largest few deposits of each reach, with their patches; equal ones in the order of the patches. */
class LargestSources {
  readonly #deposit: Float64Array
  /** Place of each reach with a deposit among those, -1 for others. */
  readonly #slot: Int32Array
  readonly #count: Uint8Array
  readonly #patch: Uint32Array
  readonly #laid: Float64Array

  constructor(deposit: Float64Array) {
    this.#deposit = deposit
    this.#slot = new Int32Array(deposit.length).fill(-1)
    let used = 0
    for (let reach = 0; reach < deposit.length; reach++) if (deposit[reach]! > 0) this.#slot[reach] = used++
    this.#count = new Uint8Array(used)
    this.#patch = new Uint32Array(KEPT * used)
    this.#laid = new Float64Array(KEPT * used)
  }

  add(reach: number, patch: number, laid: number): void {
    const slot = this.#slot[reach]!
    if (slot < 0) return
    const first = KEPT * slot
    let at = first + this.#count[slot]!
    if (this.#count[slot]! < KEPT) this.#count[slot]!++
    else if (laid <= this.#laid[--at]!) return
    for (; at > first && this.#laid[at - 1]! < laid; at--) {
      this.#laid[at] = this.#laid[at - 1]!
      this.#patch[at] = this.#patch[at - 1]!
    }
    this.#laid[at] = laid
    this.#patch[at] = patch
  }

  finish(): MainSources {
    const reaches = this.#deposit.length
    const source = new Int32Array(reaches).fill(-1)
    const share = new Float64Array(reaches)
    const offsets = new Uint32Array(reaches + 1)
    for (let r = 0; r < reaches; r++)
      offsets[r + 1] = offsets[r]! + (this.#slot[r]! < 0 ? 0 : this.#count[this.#slot[r]!]!)
    const shares = {
      offsets,
      patch: new Uint32Array(offsets[reaches]!),
      share: new Float64Array(offsets[reaches]!),
    }
    for (let r = 0; r < reaches; r++) {
      for (let i = offsets[r]!; i < offsets[r + 1]!; i++) {
        const kept = KEPT * this.#slot[r]! + i - offsets[r]!
        shares.patch[i] = this.#patch[kept]!
        shares.share[i] = Math.min(1, this.#laid[kept]! / this.#deposit[r]!)
      }
      if (offsets[r] === offsets[r + 1]) continue
      source[r] = shares.patch[offsets[r]!]!
      share[r] = shares.share[offsets[r]!]!
    }
    return { source, share, shares }
  }
}

class PatchWalk {
  readonly #plan: LoadPlan
  readonly #total: Float64Array
  readonly #reachOfArc: Uint32Array
  readonly #node: Float64Array
  readonly #laid: Float64Array
  readonly #isQueued: Uint8Array
  readonly #touched: number[] = []

  constructor(plan: LoadPlan, solution: LoadSolution, reachOfArc: Uint32Array, reachCount: number) {
    this.#plan = plan
    this.#total = solution.node
    this.#reachOfArc = reachOfArc
    this.#node = new Float64Array(plan.system.nodeCount)
    this.#laid = new Float64Array(reachCount)
    this.#isQueued = new Uint8Array(plan.components.count)
  }

  /** Follows the entries of one patch and tells what it lays down on each reach. */
  follow(entries: WaterEntries, first: number, end: number, tell: (reach: number, laid: number) => void): void {
    const { system, components } = this.#plan
    const heap = new LeastHeap()
    const fate: Fate = { passed: 0, laid: 0, kept: 0 }
    for (let k = first; k < end; k++) {
      const arc = entries.arc[k]!
      followArc(system, arc, entries.place[k]!, fate)
      this.#lay(arc, entries.load[k]! * fate.laid)
      this.#node[system.to[arc]!]! += entries.load[k]! * fate.passed
      this.#queue(heap, components.component[system.to[arc]!]!)
    }
    // Components are numbered from the outlets up: the highest comes first.
    while (heap.size > 0) this.#passOn(heap, components.count - 1 - heap.pop())
    for (const reach of this.#touched) {
      tell(reach, this.#laid[reach]!)
      this.#laid[reach] = 0
    }
    this.#touched.length = 0
  }

  #queue(heap: LeastHeap, component: number): void {
    if (this.#isQueued[component]) return
    this.#isQueued[component] = 1
    const order = this.#plan.components.count - 1 - component
    heap.push(order, order)
  }

  #passOn(heap: LeastHeap, c: number): void {
    const { components } = this.#plan
    const nodes = components.nodes.subarray(components.offsets[c]!, components.offsets[c + 1]!)
    this.#isQueued[c] = 0
    if (nodes.some(v => this.#node[v]! > NEGLIGIBLE * this.#total[v]!)) {
      passComponent(this.#plan, c, this.#node)
      for (const v of nodes) this.#layBelow(heap, c, v)
    }
    for (const v of nodes) this.#node[v] = 0
  }

  #layBelow(heap: LeastHeap, c: number, v: number): void {
    const { system, components, laid } = this.#plan
    const flow = this.#node[v]!
    if (flow === 0) return
    for (let k = system.outOffsets[v]!; k < system.outOffsets[v + 1]!; k++) {
      const arc = system.outArcs[k]!
      this.#lay(arc, flow * system.share[arc]! * laid[arc]!)
      const below = components.component[system.to[arc]!]!
      if (below !== c) this.#queue(heap, below)
    }
  }

  #lay(arc: number, laid: number): void {
    if (!(laid > 0)) return
    const reach = this.#reachOfArc[arc]!
    if (this.#laid[reach] === 0) this.#touched.push(reach)
    this.#laid[reach]! += laid
  }
}
