import type { ReachNetwork, ReachPlace } from '../model/index.ts'
import { type FlowGraph, LeastHeap } from '../network/index.ts'

/**
 * Positions along the water about a place: metres, positive downstream, negative upstream; NaN where the flow does not
 * join the two within `limit` metres. Where a loop leads both ways the shorter one counts.
 * Accuracy and cost: looks at the reaches within `limit` of the place only.
 * Source: Dijkstra (1959) Numer. Math. 1:269-271, stopped at the limit.
 */
export function positionsAlong(
  network: ReachNetwork,
  graph: FlowGraph,
  origin: ReachPlace,
  limit: number,
): (place: ReachPlace) => number {
  const isAmbiguous = network.evidence[origin.reach] === 0 || network.isBothWays[origin.reach] === 1
  if (isAmbiguous) return () => Number.NaN
  const walk = { network, graph, origin, limit }
  const down = walkFrom(walk, true)
  const up = walkFrom(walk, false)
  return place => {
    const [ahead, behind] = [down(place), up(place)]
    const nearest = Math.min(ahead, behind)
    if (!(nearest <= limit)) return Number.NaN
    return ahead <= behind ? ahead : -behind
  }
}

interface Walk {
  readonly network: ReachNetwork
  readonly graph: FlowGraph
  readonly origin: ReachPlace
  readonly limit: number
}

/** Distances from the origin with the flow or against it; Infinity where it does not lead. */
function walkFrom({ network, graph, origin, limit }: Walk, isDown: boolean): (place: ReachPlace) => number {
  const lengthOf = (arc: number) => network.length[graph.reach[arc]!]!
  const nodes = new Map<number, number>()
  const heap = new LeastHeap()
  const relax = (node: number, distance: number) => {
    if (distance > limit || distance >= (nodes.get(node) ?? Number.POSITIVE_INFINITY)) return
    nodes.set(node, distance)
    heap.push(distance, node)
  }
  const [offsets, arcs] = isDown ? [graph.outOffsets, graph.outArcs] : [graph.inOffsets, graph.inArcs]
  const ends = isDown ? graph.to : graph.from
  const starts = isDown ? graph.from : graph.to
  const own = graph.arcOffsets[origin.reach]!
  const passed = isDown ? origin.fraction : 1 - origin.fraction
  relax(ends[own]!, (1 - passed) * lengthOf(own))
  while (heap.size > 0) {
    const distance = heap.leastKey
    const node = heap.pop()
    if (distance > nodes.get(node)!) continue
    for (let i = offsets[node]!; i < offsets[node + 1]!; i++) relax(ends[arcs[i]!]!, distance + lengthOf(arcs[i]!))
  }
  return ({ reach, fraction }) => {
    let least = Number.POSITIVE_INFINITY
    for (let arc = graph.arcOffsets[reach]!; arc < graph.arcOffsets[reach + 1]!; arc++) {
      const isForward = graph.isBackward[arc] === 0
      const done = isForward === isDown ? fraction : 1 - fraction
      const entered = nodes.get(starts[arc]!)
      if (entered !== undefined) least = Math.min(least, entered + done * lengthOf(arc))
      if (arc === own && done >= passed) least = Math.min(least, (done - passed) * lengthOf(arc))
    }
    return least
  }
}
