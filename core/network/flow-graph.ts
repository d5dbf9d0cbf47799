import type { ReachNetwork } from '../model/index.ts'

/** What the flow graph needs of a network. */
export type FlowColumns = Pick<ReachNetwork, 'reachCount' | 'nodeCount' | 'from' | 'to' | 'evidence' | 'isBothWays'>

/**
 * The directed graph along which water moves: an arc a reach whose direction is known, two opposed ones where it flows both ways.
 * Shapes: arcs in the order of the reaches, forward before backward; `outArcs[outOffsets[v] ..]` are the arcs that leave node v.
 */
export interface FlowGraph {
  readonly nodeCount: number
  readonly arcCount: number
  readonly reach: Uint32Array
  /** 1 where the arc runs against its both-ways reach. */
  readonly isBackward: Uint8Array
  readonly from: Uint32Array
  readonly to: Uint32Array
  readonly outOffsets: Uint32Array
  readonly outArcs: Uint32Array
  readonly inOffsets: Uint32Array
  readonly inArcs: Uint32Array
  /** First arc of each reach; reachCount + 1 entries. */
  readonly arcOffsets: Uint32Array
}

export function buildFlowGraph(network: FlowColumns): FlowGraph {
  const { reachCount, nodeCount } = network
  const arcOffsets = new Uint32Array(reachCount + 1)
  for (let r = 0; r < reachCount; r++) {
    const arcs = network.evidence[r] === 0 ? 0 : network.isBothWays[r] === 1 ? 2 : 1
    arcOffsets[r + 1] = arcOffsets[r]! + arcs
  }
  const arcCount = arcOffsets[reachCount]!
  const reach = new Uint32Array(arcCount)
  const isBackward = new Uint8Array(arcCount)
  const from = new Uint32Array(arcCount)
  const to = new Uint32Array(arcCount)
  for (let r = 0; r < reachCount; r++) {
    for (let arc = arcOffsets[r]!; arc < arcOffsets[r + 1]!; arc++) {
      const isBack = arc > arcOffsets[r]!
      reach[arc] = r
      isBackward[arc] = isBack ? 1 : 0
      from[arc] = isBack ? network.to[r]! : network.from[r]!
      to[arc] = isBack ? network.from[r]! : network.to[r]!
    }
  }
  const out = groupByNode(from, nodeCount)
  const into = groupByNode(to, nodeCount)
  return {
    nodeCount,
    arcCount,
    reach,
    isBackward,
    from,
    to,
    arcOffsets,
    outOffsets: out.offsets,
    outArcs: out.items,
    inOffsets: into.offsets,
    inArcs: into.items,
  }
}

/** Items listed by node: `items[offsets[v] .. offsets[v + 1]]` are those of node v, in ascending order. */
export interface NodeLists {
  readonly offsets: Uint32Array
  readonly items: Uint32Array
}

export function groupByNode(nodeOfItem: Uint32Array, nodeCount: number): NodeLists {
  const offsets = new Uint32Array(nodeCount + 1)
  for (const node of nodeOfItem) offsets[node + 1]!++
  for (let v = 0; v < nodeCount; v++) offsets[v + 1]! += offsets[v]!
  const fill = offsets.slice(0, nodeCount)
  const items = new Uint32Array(nodeOfItem.length)
  for (let i = 0; i < nodeOfItem.length; i++) items[fill[nodeOfItem[i]!]!++] = i
  return { offsets, items }
}

/** Ends of reaches listed by node: item 2r is the from end of reach r, 2r + 1 its to end. */
export function groupEndsByNode(from: Uint32Array, to: Uint32Array, nodeCount: number): NodeLists {
  const nodeOfEnd = new Uint32Array(2 * from.length)
  for (let r = 0; r < from.length; r++) {
    nodeOfEnd[2 * r] = from[r]!
    nodeOfEnd[2 * r + 1] = to[r]!
  }
  return groupByNode(nodeOfEnd, nodeCount)
}
