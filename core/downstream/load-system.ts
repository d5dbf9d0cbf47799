import { InputError, type ReachNetwork, type Task, WATER_KINDS } from '../model/index.ts'
import { buildFlowGraph, type FlowGraph, type ReachIndex, type StrongComponents } from '../network/index.ts'
import type { LoadSystem } from './load-model.ts'
import { orderSystem } from './load-solver.ts'

/** A weir, culvert or trash rack: passes a share (0-1) of what the water carries. */
export interface Barrier {
  readonly id: string
  readonly longitude: number
  readonly latitude: number
  readonly pass: number
}

/** Barriers this near to the end of a reach, metres, stand at its node. A centimetre is what 7 decimals of a degree carry. */
const AT_NODE = 0.02
/** Distances from a barrier that differ by less are one distance, metres: the accuracy of the distances. */
const SAME_PLACE = 1e-3

const LAKE = WATER_KINDS.indexOf('lake')

/** What stays the same in every scenario and every draw. */
export interface WaterSystem {
  readonly network: ReachNetwork
  readonly graph: FlowGraph
  readonly share: Float64Array
  readonly length: Float64Array
  readonly barrierOffsets: Uint32Array
  readonly barrierPlace: Float64Array
  readonly barrierPass: Float64Array
  readonly components: StrongComponents
}

/** Shares at splits and barriers on arcs. Errors: InputError for a barrier off the water or with an impossible share. */
export function buildWaterSystem(
  index: ReachIndex,
  barriers: readonly Barrier[],
  snap: number,
  task: Task,
): WaterSystem {
  const { network } = index
  const graph = buildFlowGraph(network)
  const length = new Float64Array(graph.arcCount)
  for (let arc = 0; arc < graph.arcCount; arc++) length[arc] = network.length[graph.reach[arc]!]!
  return {
    network,
    graph,
    length,
    share: shareSplits(network, graph, task),
    components: orderSystem(graph),
    ...placeBarriers(index, graph, length, barriers, snap),
  }
}

/**
 * The system of one scenario: every arc with the reach's own retention length, else that of lakes, else the given one, times the
 * factor of a draw.
 */
export function loadSystemFor(
  water: WaterSystem,
  retention: number,
  factor: number,
  lakeRetention = retention,
): LoadSystem {
  const { network, graph } = water
  const lambda = new Float64Array(graph.arcCount)
  for (let arc = 0; arc < graph.arcCount; arc++) {
    const reach = graph.reach[arc]!
    const own = network.retention[reach]!
    lambda[arc] = (Number.isNaN(own) ? (network.water[reach] === LAKE ? lakeRetention : retention) : own) * factor
  }
  return {
    nodeCount: network.nodeCount,
    arcCount: graph.arcCount,
    from: graph.from,
    to: graph.to,
    length: water.length,
    retention: lambda,
    share: water.share,
    barrierOffsets: water.barrierOffsets,
    barrierPlace: water.barrierPlace,
    barrierPass: water.barrierPass,
    outOffsets: graph.outOffsets,
    outArcs: graph.outArcs,
  }
}

/** Shares at every node: as given; missing ones share the remainder equally; other sums are scaled and warned of. Definition 3.4. */
function shareSplits(network: ReachNetwork, graph: FlowGraph, task: Task): Float64Array {
  const share = new Float64Array(graph.arcCount)
  let scaled = 0
  for (let node = 0; node < graph.nodeCount; node++) {
    const arcs = graph.outArcs.subarray(graph.outOffsets[node]!, graph.outOffsets[node + 1]!)
    let given = 0
    let missing = 0
    for (const arc of arcs) {
      const own = graph.isBackward[arc] ? Number.NaN : network.share[graph.reach[arc]!]!
      share[arc] = own
      if (Number.isNaN(own)) missing++
      else given += own
    }
    const remainder = missing > 0 ? Math.max(0, 1 - given) / missing : 0
    const sum = given + remainder * missing
    // A node whose only shares are 0 would lose its water: it is parted equally instead.
    const isEmpty = arcs.length > 0 && !(sum > 0)
    for (const arc of arcs) {
      const part = Number.isNaN(share[arc]!) ? remainder : share[arc]!
      share[arc] = isEmpty ? 1 / arcs.length : part / sum
    }
    if (arcs.length > 0 && Math.abs(sum - 1) > 1e-9) scaled++
  }
  if (scaled > 0)
    task.warn('downstream-shares-scaled', `At ${scaled} splits the given shares do not sum to 1; they were scaled.`)
  return share
}

interface PlacedBarriers {
  readonly barrierOffsets: Uint32Array
  readonly barrierPlace: Float64Array
  readonly barrierPass: Float64Array
}

function placeBarriers(
  index: ReachIndex,
  graph: FlowGraph,
  length: Float64Array,
  barriers: readonly Barrier[],
  snap: number,
): PlacedBarriers {
  const placed: { arc: number; place: number; pass: number }[] = []
  for (const barrier of barriers) {
    for (const { arc, place } of arcsOfBarrier(index, graph, length, barrier, snap)) {
      placed.push({ arc, place, pass: barrier.pass })
    }
  }
  placed.sort((a, b) => a.arc - b.arc || a.place - b.place || a.pass - b.pass)
  const barrierOffsets = new Uint32Array(graph.arcCount + 1)
  for (const { arc } of placed) barrierOffsets[arc + 1]!++
  for (let arc = 0; arc < graph.arcCount; arc++) barrierOffsets[arc + 1]! += barrierOffsets[arc]!
  return {
    barrierOffsets,
    barrierPlace: Float64Array.from(placed, ({ place }) => place),
    barrierPass: Float64Array.from(placed, ({ pass }) => pass),
  }
}

/** Where a barrier acts: on its reach, or at a node on the end of each reach that flows in. Definition 3.1. */
function arcsOfBarrier(
  index: ReachIndex,
  graph: FlowGraph,
  length: Float64Array,
  barrier: Barrier,
  snap: number,
): { arc: number; place: number }[] {
  const { network } = index
  if (!(barrier.pass >= 0 && barrier.pass <= 1)) {
    throw barrierError(barrier, 'the share that the barrier passes does not lie between 0 and 1', String(barrier.pass))
  }
  const near = index.findNear(barrier.longitude, barrier.latitude, Math.max(snap, 1e-3))
  if (near.length === 0) {
    const place = `${barrier.longitude}, ${barrier.latitude}`
    throw barrierError(barrier, `the barrier is farther than the snap distance of ${snap} m from every line`, place)
  }
  const placed = new Map<number, number>()
  for (const { reach, fraction, distance } of near) {
    // Lines drawn on top of each other share the barrier, so that their order in the file does not matter.
    if (distance > near[0]!.distance + SAME_PLACE) break
    const along = fraction * network.length[reach]!
    const node =
      along <= AT_NODE ? network.from[reach] : network.length[reach]! - along <= AT_NODE ? network.to[reach] : undefined
    if (node === undefined) {
      for (let arc = graph.arcOffsets[reach]!; arc < graph.arcOffsets[reach + 1]!; arc++) {
        placed.set(arc, graph.isBackward[arc] ? length[arc]! - along : along)
      }
      continue
    }
    for (const arc of graph.inArcs.subarray(graph.inOffsets[node]!, graph.inOffsets[node + 1]!)) {
      placed.set(arc, length[arc]!)
    }
  }
  return [...placed].map(([arc, place]) => ({ arc, place }))
}

function barrierError(barrier: Barrier, reason: string, value: string): InputError {
  return new InputError({
    code: 'downstream-barrier',
    file: 'barriers',
    field: barrier.id,
    value,
    reason,
    remedy: 'Move the barrier onto its line, or correct its share.',
  })
}
