import { NETWORK_PROBLEM, type NetworkProblem, type NetworkProblemKind, type ReachNetwork } from '../model/index.ts'
import { DisjointSets } from './disjoint-sets.ts'
import type { FlowDirection } from './flow-direction.ts'
import { groupEndsByNode, type NodeLists } from './flow-graph.ts'
import type { PathContact, PathField } from './path-contacts.ts'
import { findPathsNear, positionOnPath } from './path-contacts.ts'
import type { ReachPieces } from './reach-pieces.ts'

/** A dead end this near to another line, but beyond the snap distance, is a gap. Common practice, no source. */
const GAP_REACH = 25

/** A network before its problems are told, with what the building of it knows. */
export interface NetworkDraft {
  readonly network: Omit<ReachNetwork, 'problem' | 'problems'>
  readonly pieces: ReachPieces
  readonly field: PathField
  readonly snap: number
  readonly isLoop: Uint8Array
  readonly direction: FlowDirection
  /** Crossings and touches that were not made nodes. */
  readonly unnoded: readonly PathContact[]
}

/** Everything about the network that a person should look at, in the order of NETWORK_PROBLEM, and the first problem of each reach. */
export function findNetworkProblems(draft: NetworkDraft): Pick<ReachNetwork, 'problem' | 'problems'> {
  const { network, pieces } = draft
  const ends = groupEndsByNode(network.from, network.to, network.nodeCount)
  const sinks = findSinks(draft, ends)
  const problems = [
    ...findGaps(draft, ends),
    ...findReversed(draft, ends, sinks),
    ...findLoops(draft),
    ...findDeadEnds(draft, ends, sinks),
    ...findUnnoded(draft),
    ...findDisconnected(draft),
    ...findUndirected(draft),
  ]
  const problem = new Uint8Array(pieces.count)
  for (const { kind, reaches } of problems) {
    for (const reach of reaches) if (problem[reach] === 0) problem[reach] = NETWORK_PROBLEM.indexOf(kind)
  }
  return { problem, problems }
}

type Kind = Exclude<NetworkProblemKind, 'none'>

function atNode(
  draft: NetworkDraft,
  kind: Kind,
  node: number,
  reaches: readonly number[],
  note: string,
): NetworkProblem {
  const { nodePosition } = draft.network
  return { kind, reaches, longitude: nodePosition[2 * node]!, latitude: nodePosition[2 * node + 1]!, note }
}

const lineName = (draft: NetworkDraft, reach: number): string => {
  const line = draft.network.lines[draft.network.line[reach]!]!
  return line.name === null ? `line ${line.id}` : `line ${line.id} (${line.name})`
}

function reachesAt(ends: NodeLists, node: number): number[] {
  const reaches = [...ends.items.subarray(ends.offsets[node]!, ends.offsets[node + 1]!)].map(end => end >> 1)
  return [...new Set(reaches)]
}

const degree = (ends: NodeLists, node: number) => ends.offsets[node + 1]! - ends.offsets[node]!

/** Nodes that water enters and does not leave, which nobody marked as outlets and which are not the one way out. */
function findSinks(draft: NetworkDraft, ends: NodeLists): number[] {
  const { network } = draft
  const comesIn = new Uint8Array(network.nodeCount)
  const goesOut = new Uint8Array(network.nodeCount)
  for (let r = 0; r < network.reachCount; r++) {
    const isUnknown = network.evidence[r] === 0
    // Where the direction of a reach is unknown, nobody can say that water does not leave by it.
    if (isUnknown || network.isBothWays[r]) goesOut[network.to[r]!] = 1
    goesOut[network.from[r]!] = 1
    if (!isUnknown) comesIn[network.to[r]!] = 1
  }
  const found = new Set(draft.direction.foundOutlets)
  const sinks: number[] = []
  for (let v = 0; v < network.nodeCount; v++) {
    if (comesIn[v] && !goesOut[v] && !network.isOutlet[v] && !found.has(v) && degree(ends, v) > 0) sinks.push(v)
  }
  return sinks
}

function findGaps(draft: NetworkDraft, ends: NodeLists): NetworkProblem[] {
  const { network, pieces, field, snap } = draft
  const problems: NetworkProblem[] = []
  for (let v = 0; v < network.nodeCount; v++) {
    if (degree(ends, v) !== 1 || network.isOutlet[v]) continue
    const reach = ends.items[ends.offsets[v]!]! >> 1
    const other = network.from[reach] === v ? network.to[reach]! : network.from[reach]!
    const ownPaths = new Set(reachesAt(ends, other).map(r => pieces.path[r]!))
    const [longitude, latitude] = [network.nodePosition[2 * v]!, network.nodePosition[2 * v + 1]!]
    const near = findPathsNear(field, longitude, latitude, Math.max(GAP_REACH, snap))
      .filter(point => !ownPaths.has(point.path) && point.distance > Math.max(snap, 1e-6))
      .sort((a, b) => a.distance - b.distance)[0]
    if (near === undefined) continue
    const line = network.lines[field.paths.line[near.path]!]!
    const note = `The end of ${lineName(draft, reach)} lies ${near.distance.toFixed(1)} m from line ${line.id} and does not meet it.`
    problems.push(atNode(draft, 'gap', v, [reach], note))
  }
  return problems
}

function findReversed(draft: NetworkDraft, ends: NodeLists, sinks: readonly number[]): NetworkProblem[] {
  const { network, direction } = draft
  const problems = direction.conflicts.map(({ reach, kind }) =>
    atNode(
      draft,
      'reversed',
      network.from[reach]!,
      [reach],
      `${capital(lineName(draft, reach))} ${CONFLICT_WORDS[kind]}.`,
    ),
  )
  const inner = sinks.filter(v => degree(ends, v) > 1)
  const wayOut = inner.length === 0 ? undefined : findWaysOut(draft, ends)
  for (const v of inner) {
    const suspect = wayOut?.[v] ?? -1
    const reaches = suspect >= 0 ? [suspect] : reachesAt(ends, v)
    const names = reaches.map(r => lineName(draft, r)).join(', ')
    const note =
      suspect >= 0
        ? `All lines that meet here flow in and none flows out; ${names} leads to the outlet and runs against it.`
        : `All lines that meet here flow in and none flows out: ${names}.`
    problems.push(atNode(draft, 'reversed', v, reaches, note))
  }
  return problems
}

const CONFLICT_WORDS = {
  'outlet-overruled': 'is digitised against the way to the outlet; its flow was taken toward the outlet',
  'elevation-overruled': 'is digitised uphill; its flow was taken downhill',
  'attribute-against-elevation': 'flows uphill by its direction attribute; the attribute was followed',
} as const

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1)

/** The reach by which each node is nearest to an outlet, whatever the direction of flow; -1 at outlets and where there is none. */
function findWaysOut(draft: NetworkDraft, ends: NodeLists): Int32Array {
  const { network } = draft
  const way = new Int32Array(network.nodeCount).fill(-1)
  const isSeen = new Uint8Array(network.nodeCount)
  const queue: number[] = []
  for (let v = 0; v < network.nodeCount; v++) if (network.isOutlet[v]) queue.push(v)
  for (const v of draft.direction.foundOutlets) if (!network.isOutlet[v]) queue.push(v)
  for (const v of queue) isSeen[v] = 1
  for (let at = 0; at < queue.length; at++) {
    const node = queue[at]!
    for (let i = ends.offsets[node]!; i < ends.offsets[node + 1]!; i++) {
      const reach = ends.items[i]! >> 1
      const other = network.from[reach] === node ? network.to[reach]! : network.from[reach]!
      if (isSeen[other]) continue
      isSeen[other] = 1
      way[other] = reach
      queue.push(other)
    }
  }
  return way
}

function findLoops(draft: NetworkDraft): NetworkProblem[] {
  const { network, isLoop } = draft
  const sets = new DisjointSets(network.nodeCount)
  for (let r = 0; r < network.reachCount; r++) if (isLoop[r]) sets.join(network.from[r]!, network.to[r]!)
  const groups = new Map<number, number[]>()
  for (let r = 0; r < network.reachCount; r++) {
    if (!isLoop[r]) continue
    const root = sets.find(network.from[r]!)
    const group = groups.get(root)
    if (group) group.push(r)
    else groups.set(root, [r])
  }
  return [...groups.values()].map(reaches => {
    const count = reaches.length === 1 ? 'One reach flows' : `${reaches.length} reaches flow`
    return atNode(draft, 'loop', network.from[reaches[0]!]!, reaches, `${count} round in a loop.`)
  })
}

function findDeadEnds(draft: NetworkDraft, ends: NodeLists, sinks: readonly number[]): NetworkProblem[] {
  return sinks
    .filter(v => degree(ends, v) === 1)
    .map(v => {
      const reach = ends.items[ends.offsets[v]!]! >> 1
      const note = `The flow of ${lineName(draft, reach)} ends here, and the place is not marked as an outlet.`
      return atNode(draft, 'dead_end', v, [reach], note)
    })
}

function findUnnoded(draft: NetworkDraft): NetworkProblem[] {
  const { network, pieces, field, unnoded } = draft
  if (unnoded.length === 0) return []
  const firstReach = new Int32Array(field.paths.pathCount).fill(-1)
  // Without noding at crossings a path is one reach.
  for (let r = pieces.count - 1; r >= 0; r--) firstReach[pieces.path[r]!] = r
  const problems: NetworkProblem[] = []
  for (const contact of unnoded) {
    const reaches = [...new Set([firstReach[contact.a]!, firstReach[contact.b]!])].filter(r => r >= 0)
    const [longitude, latitude] = positionOnPath(field.paths.coords, contact.placeB)
    const [a, b] = [contact.a, contact.b].map(path => network.lines[field.paths.line[path]!]!.id)
    const verb = contact.kind === 'crossing' ? 'crosses' : 'ends on the side of'
    problems.push({
      kind: 'crossing',
      reaches,
      longitude,
      latitude,
      note: `Line ${a} ${verb} line ${b} without a node.`,
    })
  }
  return problems
}

/** Parts of the network without an outlet: all but the longest where none is marked, else those without a marked one. */
function findDisconnected(draft: NetworkDraft): NetworkProblem[] {
  const { network } = draft
  const sets = new DisjointSets(network.nodeCount)
  for (let r = 0; r < network.reachCount; r++) sets.join(network.from[r]!, network.to[r]!)
  const parts = new Map<number, { reaches: number[]; length: number; hasOutlet: boolean }>()
  for (let r = 0; r < network.reachCount; r++) {
    const root = sets.find(network.from[r]!)
    let part = parts.get(root)
    if (part === undefined) {
      part = { reaches: [], length: 0, hasOutlet: false }
      parts.set(root, part)
    }
    part.reaches.push(r)
    part.length += network.length[r]!
    if (network.isOutlet[network.from[r]!] || network.isOutlet[network.to[r]!]) part.hasOutlet = true
  }
  const list = [...parts.values()]
  const isAnyMarked = list.some(part => part.hasOutlet)
  const longest = list.reduce((most, part) => Math.max(most, part.length), 0)
  return list
    .filter(part => !part.hasOutlet && (isAnyMarked || part.length < longest))
    .map(({ reaches, length }) => {
      const size = reaches.length === 1 ? 'One reach' : `${reaches.length} reaches`
      const note = `${size} of ${length.toFixed(0)} m in all ${reaches.length === 1 ? 'is' : 'are'} not connected to an outlet.`
      return atNode(draft, 'disconnected', network.from[reaches[0]!]!, reaches, note)
    })
}

function findUndirected(draft: NetworkDraft): NetworkProblem[] {
  const { network } = draft
  const problems: NetworkProblem[] = []
  for (let r = 0; r < network.reachCount; r++) {
    if (network.evidence[r] !== 0) continue
    const note = `The direction of ${lineName(draft, r)} is unknown; what enters it is not routed.`
    problems.push(atNode(draft, 'no_direction', network.from[r]!, [r], note))
  }
  return problems
}
