import type { WorkingFrame } from '../geo/index.ts'
import type { ReachNetwork, ReachPlace } from '../model/index.ts'
import {
  buildFlowGraph,
  createReachIndex,
  distancesDownstream,
  distancesUpstream,
  snapToReach,
  type WaterDistances,
} from '../network/index.ts'
import { positionsAlong } from './local-water.ts'
import type { Waterways } from './waterways.ts'

/** The waterways of a reach network, asked in the working frame. */
export function waterwaysOf(network: ReachNetwork, frame: WorkingFrame): Waterways {
  const index = createReachIndex(network)
  const graph = buildFlowGraph(network)
  // Many questions start from the same places; the way from them is found once.
  const downstream = rememberBySource(from => distancesDownstream(network, from))
  const upstream = rememberBySource(from => distancesUpstream(network, from))
  return {
    placeOn: (x, y, maximum) => snapToReach(index, ...frame.toGlobe(x, y), maximum) ?? undefined,
    positionsAbout: (origin, limit) => positionsAlong(network, graph, origin, limit),
    distanceDownstream: (from, to) => distancesTo(downstream(from), to),
    distanceUpstream: (from, to) => distancesTo(upstream(from), to),
  }
}

const distancesTo = (distances: WaterDistances, to: readonly ReachPlace[]): Float64Array =>
  Float64Array.from(to, place => distances.to(place))

function rememberBySource(measure: (from: readonly ReachPlace[]) => WaterDistances) {
  const known = new WeakMap<readonly ReachPlace[], WaterDistances>()
  return (from: readonly ReachPlace[]): WaterDistances => {
    const distances = known.get(from) ?? measure(from)
    known.set(from, distances)
    return distances
  }
}
