import type { ReachNetwork } from '../model/index.ts'
import type { FlowOrder } from './stream-order.ts'

type WayColumns = Pick<ReachNetwork, 'reachCount' | 'nodeCount' | 'length' | 'velocity' | 'isOutlet' | 'to'>

const SECONDS_AN_HOUR = 3600

/**
 * From the downstream end of each reach to where the water ends, along the flow: the shortest way in metres, and the quickest in hours over
 * reaches whose velocity is known. Water ends at marked outlets and, in parts from which none is reached, wherever it leaves no more.
 * Absent: NaN where no way or no velocity is known. Cost: linear in the reaches, loops apart.
 */
export function measureWaysOut(
  network: WayColumns,
  order: FlowOrder,
): Pick<ReachNetwork, 'outletDistance' | 'outletHours'> {
  const { graph } = order
  const metres = new Float64Array(graph.arcCount)
  const hours = new Float64Array(graph.arcCount)
  for (let arc = 0; arc < graph.arcCount; arc++) {
    const reach = graph.reach[arc]!
    metres[arc] = network.length[reach]!
    const velocity = network.velocity[reach]!
    hours[arc] = velocity > 0 ? network.length[reach]! / velocity / SECONDS_AN_HOUR : Number.POSITIVE_INFINITY
  }
  const distance = leastCosts(order, network.isOutlet, metres)
  const time = leastCosts(order, network.isOutlet, hours)
  const isOut = distance.toOutlet.map(away => (Number.isFinite(away) ? 1 : 0))
  const choose = ({ toOutlet, toEnd }: Costs) => toOutlet.map((away, node) => (isOut[node] ? away : toEnd[node]!))
  return {
    outletDistance: atEnds(network, graph.arcOffsets, choose(distance)),
    outletHours: atEnds(network, graph.arcOffsets, choose(time)),
  }
}

/** By node. */
interface Costs {
  readonly toOutlet: Float64Array
  readonly toEnd: Float64Array
}

/** Least cost from each node to an outlet, and to any end of the water. Components come from the outlets up. */
function leastCosts({ graph, parts }: FlowOrder, isOutlet: Uint8Array, cost: Float64Array): Costs {
  const toOutlet = new Float64Array(graph.nodeCount).fill(Number.POSITIVE_INFINITY)
  const toEnd = new Float64Array(graph.nodeCount).fill(Number.POSITIVE_INFINITY)
  for (let c = 0; c < parts.count; c++) {
    const [first, end] = [parts.offsets[c]!, parts.offsets[c + 1]!]
    // Inside a loop nodes lean on each other: it is gone over until nothing changes.
    let isChanged = true
    while (isChanged) {
      isChanged = false
      for (let i = first; i < end; i++) {
        const node = parts.nodes[i]!
        let outlet = isOutlet[node] ? 0 : Number.POSITIVE_INFINITY
        let any = graph.outOffsets[node] === graph.outOffsets[node + 1] ? 0 : Number.POSITIVE_INFINITY
        for (let k = graph.outOffsets[node]!; k < graph.outOffsets[node + 1]!; k++) {
          const arc = graph.outArcs[k]!
          outlet = Math.min(outlet, cost[arc]! + toOutlet[graph.to[arc]!]!)
          any = Math.min(any, cost[arc]! + toEnd[graph.to[arc]!]!)
        }
        if (outlet < toOutlet[node]! || any < toEnd[node]!) isChanged = end - first > 1
        toOutlet[node] = outlet
        toEnd[node] = any
      }
    }
  }
  return { toOutlet, toEnd }
}

function atEnds(network: WayColumns, arcOffsets: Uint32Array, cost: Float64Array): Float64Array {
  const ends = new Float64Array(network.reachCount)
  for (let reach = 0; reach < network.reachCount; reach++) {
    const away = cost[network.to[reach]!]!
    ends[reach] = arcOffsets[reach] !== arcOffsets[reach + 1] && Number.isFinite(away) ? away : Number.NaN
  }
  return ends
}
