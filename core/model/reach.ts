/**
 * The reach network as columns: one entry a reach (a piece of one line between two nodes) or a node.
 * A reach runs from its `from` node to its `to` node, which is downstream where the direction is known.
 */
export const DIRECTION_EVIDENCE = ['none', 'attribute', 'elevation', 'outlet', 'digitised', 'repaired'] as const
export type DirectionEvidence = (typeof DIRECTION_EVIDENCE)[number]

export const NETWORK_PROBLEM = [
  'none',
  'gap',
  'reversed',
  'loop',
  'dead_end',
  'crossing',
  'disconnected',
  'no_direction',
] as const
export type NetworkProblemKind = (typeof NETWORK_PROBLEM)[number]

/** What carries the water of a reach. */
export const WATER_KINDS = ['stream', 'ditch', 'tidal', 'lake'] as const
export type WaterKind = (typeof WATER_KINDS)[number]

export interface ReachNetwork {
  readonly reachCount: number
  readonly nodeCount: number
  /** Longitude, latitude of every vertex, from node first. */
  readonly coords: Float64Array
  /** Start of each reach in `coords`, counted in vertices; reachCount + 1 entries. */
  readonly vertexOffsets: Uint32Array
  readonly from: Uint32Array
  readonly to: Uint32Array
  /** Ellipsoidal length, metres, > 0. */
  readonly length: Float64Array
  /** Index into `lines`. */
  readonly line: Uint32Array
  readonly lines: readonly ReachLine[]
  /** Index into DIRECTION_EVIDENCE; `none` where the direction is unknown. */
  readonly evidence: Uint8Array
  /** Index into NETWORK_PROBLEM: the first problem of the reach. */
  readonly problem: Uint8Array
  /** 1 where water flows both ways. */
  readonly isBothWays: Uint8Array
  /** Share (0-1) of what leaves the from node that enters this reach, as given; NaN where not given. */
  readonly share: Float64Array
  /** Retention length of the reach's own, metres; NaN where not given. */
  readonly retention: Float64Array
  /** 0 where the reach is part of a loop or its direction is unknown. */
  readonly strahler: Uint16Array
  readonly shreve: Float64Array
  /** Longitude, latitude of every node. */
  readonly nodePosition: Float64Array
  /** 1 where the node is a marked outlet. */
  readonly isOutlet: Uint8Array
  readonly problems: readonly NetworkProblem[]
  /** What could be done about the problems, and what was: accepted repairs stay listed. */
  readonly repairs: readonly NetworkRepair[]
  /** Index into WATER_KINDS. */
  readonly water: Uint8Array
  /** Metres a second, as given or from the slope; NaN where neither is known. */
  readonly velocity: Float64Array
  /** Length of all water above the reach, metres, divided in equal parts at splits; NaN where the reach has no order. */
  readonly upstreamLength: Float64Array
  /**
   * Shortest way from the downstream end of the reach to where the water ends (a marked outlet; in parts without one, any end),
   * metres, and the quickest in hours; NaN where no way or no velocity is known.
   */
  readonly outletDistance: Float64Array
  readonly outletHours: Float64Array
}

/** The line of the file that a reach is a piece of. */
export interface ReachLine {
  /** The id field's value, else its row from 1. */
  readonly id: string
  readonly row: number
  readonly name: string | null
  /** Width of the water in metres, or null. */
  readonly width: number | null
}

/** Something about the network that a person should look at; nothing is mended in silence. */
export interface NetworkProblem {
  readonly kind: Exclude<NetworkProblemKind, 'none'>
  readonly reaches: readonly number[]
  readonly longitude: number
  readonly latitude: number
  /** One plain sentence, with the distance or the lines concerned. */
  readonly note: string
}

export const REPAIR_ACTIONS = ['bridge', 'turn', 'node', 'mark_outlet'] as const
export type RepairAction = (typeof REPAIR_ACTIONS)[number]

/** One thing that would mend a problem of the network; nothing is done before a person accepts it. */
export interface NetworkRepair {
  /** Of what it does, to which lines, where: the same in every run on the same lines. */
  readonly id: string
  readonly action: RepairAction
  /** The kind of problem that it mends; null for an accepted one, whose problem is gone. */
  readonly problem: Exclude<NetworkProblemKind, 'none'> | null
  readonly reaches: readonly number[]
  readonly longitude: number
  readonly latitude: number
  /** What would be done, one plain sentence. */
  readonly proposal: string
  /** What speaks for it, one plain sentence. */
  readonly evidence: string
  readonly decision: 'open' | 'accepted' | 'declined'
}

/** What a person decided about a repair. */
export interface RepairDecision {
  readonly id: string
  readonly isAccepted: boolean
}

/** A place on a reach: `fraction` (0-1) of its length from the from node. */
export interface ReachPlace {
  readonly reach: number
  readonly fraction: number
}
