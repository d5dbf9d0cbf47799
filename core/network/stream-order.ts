import { buildFlowGraph, type FlowColumns, type FlowGraph } from './flow-graph.ts'
import { findStrongComponents, type StrongComponents } from './strong-components.ts'

/** Stream orders of reaches; 0 on loops, on reaches that flow both ways and where the direction is unknown. */
export interface StreamOrders {
  readonly strahler: Uint16Array
  readonly shreve: Float64Array
  /** Length of all water above each reach, metres, divided in equal parts at splits; NaN where it has no order. */
  readonly upstreamLength: Float64Array
  /** 1 for reaches that are part of a directed loop, reaches that flow both ways left aside. */
  readonly isLoop: Uint8Array
}

/**
 * Strahler order and Shreve magnitude. Both start with 1 at a reach that nothing flows into.
 * At a split the order passes to every branch, and the magnitude is divided in equal parts, so that a braid that closes again
 * carries what it carried before: two branches that stem from one confluence do not raise the order where they meet.
 * A loop counts as one node that its inflows meet in.
 * Source: Strahler (1957), Trans. AGU 38:913-920; Shreve (1966), J. Geol. 74:17-37; origins of orders at splits after
 * Gleyzer and others (2004), J. Am. Water Resour. Assoc. 40:937-946 (from memory).
 */
export function computeStreamOrders(
  network: OrderedColumns,
  { graph, parts }: FlowOrder = orderFlow(network),
): StreamOrders {
  const { reachCount } = network
  const orders: OrderState = {
    graph,
    parts,
    strahler: new Uint16Array(reachCount),
    shreve: new Float64Array(reachCount),
    origin: new Uint32Array(reachCount),
    length: network.length,
    upstreamLength: new Float64Array(reachCount).fill(Number.NaN),
  }
  for (let c = parts.count - 1; c >= 0; c--) passThrough(orders, c)
  const { strahler, shreve, upstreamLength } = orders
  return { strahler, shreve, upstreamLength, isLoop: markLoops(network, graph, parts) }
}

export type OrderedColumns = FlowColumns & { readonly length: Float64Array }

/** The graph of the flow and its loops, outlets first. */
export interface FlowOrder {
  readonly graph: FlowGraph
  readonly parts: StrongComponents
}

export function orderFlow(network: FlowColumns): FlowOrder {
  const graph = buildFlowGraph(network)
  return { graph, parts: componentsOf(graph) }
}

interface OrderState {
  readonly graph: FlowGraph
  readonly parts: StrongComponents
  readonly strahler: Uint16Array
  readonly shreve: Float64Array
  /** Node at which the order of a reach arose. */
  readonly origin: Uint32Array
  readonly length: Float64Array
  readonly upstreamLength: Float64Array
}

function componentsOf(graph: FlowGraph): StrongComponents {
  const targets = new Uint32Array(graph.outArcs.length)
  for (let i = 0; i < targets.length; i++) targets[i] = graph.to[graph.outArcs[i]!]!
  return findStrongComponents({ nodeCount: graph.nodeCount, offsets: graph.outOffsets, targets })
}

function passThrough(state: OrderState, c: number): void {
  const { graph, parts } = state
  const { component } = parts
  let order = 0
  let origin = 0
  let isMet = false
  let magnitude = 0
  let leaving = 0
  let above = 0
  for (let i = parts.offsets[c]!; i < parts.offsets[c + 1]!; i++) {
    const node = parts.nodes[i]!
    for (let k = graph.inOffsets[node]!; k < graph.inOffsets[node + 1]!; k++) {
      const arc = graph.inArcs[k]!
      const reach = graph.reach[arc]!
      const incoming = state.strahler[reach]!
      const isInner = component[graph.from[arc]!] === c
      // Water of a loop counts once: a reach that flows both ways is two arcs.
      if (isInner) above += state.length[reach]! / (graph.arcOffsets[reach + 1]! - graph.arcOffsets[reach]!)
      if (incoming === 0 || isInner) continue
      above += state.upstreamLength[reach]! + state.length[reach]!
      magnitude += state.shreve[reach]!
      if (incoming > order) {
        order = incoming
        origin = state.origin[reach]!
        isMet = false
      } else if (incoming === order && state.origin[reach] !== origin) isMet = true
    }
    for (let k = graph.outOffsets[node]!; k < graph.outOffsets[node + 1]!; k++) {
      if (component[graph.to[graph.outArcs[k]!]!] !== c) leaving++
    }
  }
  if (leaving === 0) return
  const first = parts.nodes[parts.offsets[c]!]!
  for (let i = parts.offsets[c]!; i < parts.offsets[c + 1]!; i++) {
    const node = parts.nodes[i]!
    for (let k = graph.outOffsets[node]!; k < graph.outOffsets[node + 1]!; k++) {
      const arc = graph.outArcs[k]!
      if (component[graph.to[arc]!] === c) continue
      const reach = graph.reach[arc]!
      state.strahler[reach] = order === 0 ? 1 : isMet ? order + 1 : order
      // Every head is an origin of its own, also where several streams leave one spring.
      state.origin[reach] = order === 0 ? graph.nodeCount + reach : isMet ? first : origin
      state.shreve[reach] = order === 0 ? 1 : magnitude / leaving
      state.upstreamLength[reach] = above / leaving
    }
  }
}

function markLoops(network: FlowColumns, whole: FlowGraph, parts: StrongComponents): Uint8Array {
  const isLoop = new Uint8Array(network.reachCount)
  const isMixed = network.isBothWays.includes(1)
  const evidence = isMixed ? network.evidence.map((known, r) => (network.isBothWays[r] ? 0 : known)) : network.evidence
  const graph = isMixed ? buildFlowGraph({ ...network, evidence }) : whole
  const { component } = isMixed ? componentsOf(graph) : parts
  for (let arc = 0; arc < graph.arcCount; arc++) {
    if (component[graph.from[arc]!] === component[graph.to[arc]!]) isLoop[graph.reach[arc]!] = 1
  }
  return isLoop
}
