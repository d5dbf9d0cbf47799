import { DisjointSets } from '../geo/index.ts'
import { DIRECTION_EVIDENCE } from '../model/index.ts'
import { findBridges } from './bridges.ts'
import { groupEndsByNode, type NodeLists } from './flow-graph.ts'

/** What is known of each piece as digitised, before its direction is decided. */
export interface DirectionInput {
  readonly from: Uint32Array
  readonly to: Uint32Array
  readonly nodeCount: number
  /** Index into GIVEN_DIRECTION, a piece. */
  readonly given: Uint8Array
  /** Height of the line's first vertex less its last's, a piece; NaN or 0 says nothing. */
  readonly drop: Float64Array
  /** 1 where the line tells that it starts or ends as digitised (a share, an outlet of its own). */
  readonly isDeclared: Uint8Array
  /** 1 where the node is a marked outlet. */
  readonly isOutlet: Uint8Array
  /** Accepted direction of the flow, a piece: 1 as digitised, 2 against it, 0 where nothing was accepted. */
  readonly repaired: Uint8Array
}

/** A piece on which evidence overruled digitised order, or on which elevations speak against the attribute that was followed. */
export interface DirectionConflict {
  readonly reach: number
  readonly kind: 'outlet-overruled' | 'elevation-overruled' | 'attribute-against-elevation'
}

export interface FlowDirection {
  /** 1 where the water runs against the digitised order. */
  readonly isFlipped: Uint8Array
  readonly evidence: Uint8Array
  readonly isBothWays: Uint8Array
  /** Pieces about which two kinds of evidence disagree, ascending. */
  readonly conflicts: readonly DirectionConflict[]
  /** Node of the one end of each unmarked part of the network that the water can only leave by. */
  readonly foundOutlets: readonly number[]
}

const code = (name: (typeof DIRECTION_EVIDENCE)[number]) => DIRECTION_EVIDENCE.indexOf(name)
const [ATTRIBUTE, ELEVATION, OUTLET, DIGITISED, REPAIRED] = [
  code('attribute'),
  code('elevation'),
  code('outlet'),
  code('digitised'),
  code('repaired'),
] as const

/**
 * Direction of every piece: an accepted repair, attribute, then elevation, then the way to a marked or found outlet, then digitised order.
 * On a braid the way to an outlet is not one way: there the digitised order stands wherever it leads to the outlet.
 * A found outlet (the only end of an unmarked part where water leaves) overrules digitised order only where that leads away from it.
 */
export function decideFlowDirection(input: DirectionInput): FlowDirection {
  const count = input.from.length
  const isFlipped = new Uint8Array(count)
  const evidence = new Uint8Array(count)
  const isBothWays = new Uint8Array(count)
  const isOpen = new Uint8Array(count)
  for (let r = 0; r < count; r++) {
    const given = input.given[r]!
    const drop = input.drop[r]!
    if (input.repaired[r]! !== 0) {
      evidence[r] = REPAIRED
      isFlipped[r] = input.repaired[r] === 2 ? 1 : 0
    } else if (given !== 0) {
      evidence[r] = given === 4 ? 0 : ATTRIBUTE
      isFlipped[r] = given === 2 ? 1 : 0
      isBothWays[r] = given === 3 ? 1 : 0
    } else if (drop > 0 || drop < 0) {
      evidence[r] = ELEVATION
      isFlipped[r] = drop < 0 ? 1 : 0
    } else {
      evidence[r] = DIGITISED
      isOpen[r] = 1 - input.isDeclared[r]!
    }
  }
  const state: DirectionState = { input, isFlipped, evidence, isBothWays, isOpen, conflicts: [] }
  noteElevationConflicts(state)
  const ends = groupEndsByNode(input.from, input.to, input.nodeCount)
  const foundOutlets = findOutlets(state, ends)
  leadToOutlets(state, ends, foundOutlets)
  return { isFlipped, evidence, isBothWays, conflicts: state.conflicts.sort((a, b) => a.reach - b.reach), foundOutlets }
}

interface DirectionState {
  readonly input: DirectionInput
  readonly isFlipped: Uint8Array
  readonly evidence: Uint8Array
  readonly isBothWays: Uint8Array
  readonly isOpen: Uint8Array
  readonly conflicts: DirectionConflict[]
}

function noteElevationConflicts({ input, evidence, isFlipped, conflicts }: DirectionState): void {
  for (let reach = 0; reach < evidence.length; reach++) {
    const drop = input.drop[reach]!
    if (evidence[reach] === ELEVATION && isFlipped[reach]) conflicts.push({ reach, kind: 'elevation-overruled' })
    if (evidence[reach] === REPAIRED) continue
    const isAgainst = (input.given[reach] === 1 && drop < 0) || (input.given[reach] === 2 && drop > 0)
    if (isAgainst) conflicts.push({ reach, kind: 'attribute-against-elevation' })
  }
}

/** In parts of the network without a marked outlet: the only dead end, else the only node at all, that water enters and does not leave. */
function findOutlets(state: DirectionState, ends: NodeLists): number[] {
  const { from, to, nodeCount, isOutlet } = state.input
  const sets = new DisjointSets(nodeCount)
  const comesIn = new Uint8Array(nodeCount)
  const goesOut = new Uint8Array(nodeCount)
  for (let r = 0; r < from.length; r++) {
    sets.join(from[r]!, to[r]!)
    if (state.evidence[r] === 0) continue
    const up = state.isFlipped[r] ? to[r]! : from[r]!
    const down = state.isFlipped[r] ? from[r]! : to[r]!
    goesOut[up] = 1
    comesIn[down] = 1
    if (state.isBothWays[r]) {
      goesOut[down] = 1
      comesIn[up] = 1
    }
  }
  const marked = new Uint8Array(nodeCount)
  const deadEnds = new Candidates(nodeCount)
  const others = new Candidates(nodeCount)
  for (let v = 0; v < nodeCount; v++) {
    const root = sets.leader(v)
    if (isOutlet[v]) marked[root] = 1
    if (!comesIn[v] || goesOut[v]) continue
    const candidates = ends.offsets[v + 1]! - ends.offsets[v]! === 1 ? deadEnds : others
    candidates.add(root, v)
  }
  const found: number[] = []
  for (let root = 0; root < nodeCount; root++) {
    if (marked[root]) continue
    const candidates = deadEnds.count[root]! > 0 ? deadEnds : others
    if (candidates.count[root] === 1) found.push(candidates.first[root]!)
  }
  return found.sort((a, b) => a - b)
}

/** Nodes that may be the outlet of a part of the network: how many there are, and the first. */
class Candidates {
  readonly count: Uint32Array
  readonly first: Uint32Array

  constructor(partCount: number) {
    this.count = new Uint32Array(partCount)
    this.first = new Uint32Array(partCount)
  }

  add(part: number, node: number): void {
    if (this.count[part]!++ === 0) this.first[part] = node
  }
}

/**
 * Walks up from the outlets, breadth first. Where the walk can only go on against the digitised order of a piece that nothing
 * else tells about, that piece is turned.
 */
function leadToOutlets(state: DirectionState, ends: NodeLists, found: readonly number[]): void {
  const { from, to, nodeCount, isOutlet } = state.input
  const isBridge = findBridges(from, to, ends)
  const origin = new Uint8Array(nodeCount)
  const queue = new Uint32Array(nodeCount)
  let queued = 0
  const later: { reach: number; origin: number }[] = []
  const add = (node: number, by: number) => {
    if (origin[node] !== 0) return
    origin[node] = by
    queue[queued++] = node
  }
  for (let v = 0; v < nodeCount; v++) if (isOutlet[v]) add(v, MARKED)
  for (const v of found) add(v, FOUND)
  let at = 0
  let waiting = 0
  while (at < queued || waiting < later.length) {
    if (at === queued) {
      const { reach, origin: by } = later[waiting++]!
      // A piece of a braid that leads away from every way to the outlet.
      if (origin[to[reach]!] !== 0) continue
      turn(state, reach)
      add(to[reach]!, by)
      continue
    }
    const node = queue[at++]!
    const by = origin[node]!
    for (let i = ends.offsets[node]!; i < ends.offsets[node + 1]!; i++) {
      const reach = ends.items[i]! >> 1
      const isDownEnd = (ends.items[i]! & 1) === (state.isFlipped[reach] ? 0 : 1)
      const other = from[reach] === node ? to[reach]! : from[reach]!
      if (state.evidence[reach] === 0) continue
      if (!state.isOpen[reach]) {
        if (isDownEnd || state.isBothWays[reach]) add(other, by)
      } else if (isDownEnd) {
        if (by === MARKED) state.evidence[reach] = OUTLET
        add(other, by)
      } else if (isBridge[reach] && origin[other] === 0) {
        turn(state, reach)
        add(other, by)
      } else if (origin[other] === 0) later.push({ reach, origin: by })
    }
  }
}

const MARKED = 1
const FOUND = 2

function turn(state: DirectionState, reach: number): void {
  state.isFlipped[reach] = 1
  state.isOpen[reach] = 0
  state.evidence[reach] = OUTLET
  state.conflicts.push({ reach, kind: 'outlet-overruled' })
}
