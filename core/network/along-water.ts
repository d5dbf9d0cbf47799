import { azimuthBetween } from '../geo/index.ts'
import type { ReachNetwork, ReachPlace } from '../model/index.ts'
import { buildFlowGraph, type FlowGraph } from './flow-graph.ts'
import { LeastHeap } from './least-heap.ts'
import { findSegment } from './reach-index.ts'

/** Distances along the water from a set of places, metres; infinite where water does not lead there. */
export interface WaterDistances {
  /** By node. */
  readonly node: Float64Array
  /** To any place on a reach. */
  to(place: ReachPlace): number
}

/** How far water carries from the nearest of the places: with the flow. Reaches of unknown direction lead nowhere. */
export const distancesDownstream = (network: ReachNetwork, places: readonly ReachPlace[]): WaterDistances =>
  measureAlong(network, places, true, network.length)

/** How far up against the flow each node lies from the nearest of the places. */
export const distancesUpstream = (network: ReachNetwork, places: readonly ReachPlace[]): WaterDistances =>
  measureAlong(network, places, false, network.length)

/** Hours that water takes from the nearest of the places in time, with the flow; infinite past a reach whose velocity is not known. */
export function hoursDownstream(network: ReachNetwork, places: readonly ReachPlace[]): WaterDistances {
  const hours = network.length.map((length, r) => {
    const velocity = network.velocity[r]!
    return velocity > 0 ? length / velocity / 3600 : Number.POSITIVE_INFINITY
  })
  return measureAlong(network, places, true, hours)
}

/** Source: Dijkstra (1959), A note on two problems in connexion with graphs, Numer. Math. 1:269-271, doi:10.1007/BF01386390. */
function measureAlong(
  network: ReachNetwork,
  places: readonly ReachPlace[],
  isDown: boolean,
  cost: Float64Array,
): WaterDistances {
  const graph = buildFlowGraph(network)
  const node = new Float64Array(network.nodeCount).fill(Number.POSITIVE_INFINITY)
  const heap = new LeastHeap()
  const starts = new Map<number, number[]>()
  for (const { reach, fraction } of places) {
    const list = starts.get(reach)
    if (list) list.push(fraction)
    else starts.set(reach, [fraction])
    for (let arc = graph.arcOffsets[reach]!; arc < graph.arcOffsets[reach + 1]!; arc++) {
      const left = cost[reach]! * leftOnArc(graph, arc, fraction, isDown)
      relax(node, heap, isDown ? graph.to[arc]! : graph.from[arc]!, left)
    }
  }
  spread(graph, node, heap, isDown, cost)
  return {
    node,
    to({ reach, fraction }) {
      let least = Number.POSITIVE_INFINITY
      for (let arc = graph.arcOffsets[reach]!; arc < graph.arcOffsets[reach + 1]!; arc++) {
        const done = 1 - leftOnArc(graph, arc, fraction, isDown)
        const entered = isDown ? graph.from[arc]! : graph.to[arc]!
        least = Math.min(least, node[entered]! + done * cost[reach]!)
        for (const start of starts.get(reach) ?? []) {
          const ahead = done - (1 - leftOnArc(graph, arc, start, isDown))
          if (ahead >= 0) least = Math.min(least, ahead * cost[reach]!)
        }
      }
      return least
    },
  }
}

/** Share of an arc's length that lies ahead of a place, in the direction of travel. */
function leftOnArc(graph: FlowGraph, arc: number, fraction: number, isDown: boolean): number {
  return (graph.isBackward[arc] === 1) === isDown ? fraction : 1 - fraction
}

function relax(node: Float64Array, heap: LeastHeap, at: number, distance: number): void {
  if (distance >= node[at]!) return
  node[at] = distance
  heap.push(distance, at)
}

function spread(graph: FlowGraph, node: Float64Array, heap: LeastHeap, isDown: boolean, cost: Float64Array): void {
  const offsets = isDown ? graph.outOffsets : graph.inOffsets
  const arcs = isDown ? graph.outArcs : graph.inArcs
  const ends = isDown ? graph.to : graph.from
  while (heap.size > 0) {
    const distance = heap.leastKey
    const at = heap.pop()
    if (distance > node[at]!) continue
    for (let i = offsets[at]!; i < offsets[at + 1]!; i++) {
      const arc = arcs[i]!
      relax(node, heap, ends[arc]!, distance + cost[graph.reach[arc]!]!)
    }
  }
}

/** Direction in which the water runs at a place, degrees clockwise from north (-180 to 180); null where it is unknown or both ways. */
export function downstreamDirectionAt(network: ReachNetwork, place: ReachPlace): number | null {
  if (network.evidence[place.reach] === 0 || network.isBothWays[place.reach] === 1) return null
  const { vertex } = findSegment(network, place)
  const { coords } = network
  return azimuthBetween(coords[2 * vertex]!, coords[2 * vertex + 1]!, coords[2 * vertex + 2]!, coords[2 * vertex + 3]!)
}
