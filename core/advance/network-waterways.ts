import type { WorkingFrame } from '../geo/index.ts'
import type { ReachNetwork, ReachPlace } from '../model/index.ts'
import {
  createReachIndex,
  distancesDownstream,
  distancesUpstream,
  positionOfPlace,
  snapToReach,
  type WaterDistances,
} from '../network/index.ts'
import type { Waterways } from './waterways.ts'

/** The waterways of a reach network, asked in the working frame. */
export function waterwaysOf(network: ReachNetwork, frame: WorkingFrame): Waterways {
  const index = createReachIndex(network)
  // Many questions start from the same places; the way from them is found once.
  const downstream = rememberBySource(from => distancesDownstream(network, from))
  const upstream = rememberBySource(from => distancesUpstream(network, from))
  return {
    placeOn: (x, y, maximum) => snapToReach(index, ...frame.toGlobe(x, y), maximum) ?? undefined,
    downstreamDirection(place, span) {
      if (network.evidence[place.reach] === 0 || network.isBothWays[place.reach] === 1) return undefined
      const half = span / 2 / network.length[place.reach]!
      const at = (fraction: number) => frame.toPlane(...positionOfPlace(network, { reach: place.reach, fraction }))
      const [x1, y1] = at(Math.max(0, place.fraction - half))
      const [x2, y2] = at(Math.min(1, place.fraction + half))
      const size = Math.hypot(x2 - x1, y2 - y1)
      return size > 0 ? [(x2 - x1) / size, (y2 - y1) / size] : undefined
    },
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
