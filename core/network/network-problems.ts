import { DisjointSets } from '../geo/index.ts'
import { NETWORK_PROBLEM, type NetworkProblemKind } from '../model/index.ts'
import { groupEndsByNode, type NodeLists } from './flow-graph.ts'
import { type FoundProblem, GAP_REACH, type Mend, type NetworkDraft } from './network-draft.ts'
import { mendContact, mendDirection, mendEnd, mendGap, mendLoop, reachNear } from './network-repairs.ts'
import { NearPaths, positionOnPath } from './path-contacts.ts'

/** Everything about the network that a person should look at, in the order of NETWORK_PROBLEM, and the first problem of each reach. */
export function findNetworkProblems(draft: NetworkDraft): { problem: Uint8Array; found: FoundProblem[] } {
  const { network, pieces } = draft
  const ends = groupEndsByNode(network.from, network.to, network.nodeCount)
  const sinks = findSinks(draft, ends)
  const found = [
    ...findGaps(draft, ends),
    ...findReversed(draft, ends, sinks),
    ...findLoops(draft, ends),
    ...findDeadEnds(draft, ends, sinks),
    ...findUnnoded(draft),
    ...findDisconnected(draft, sinks),
    ...findUndirected(draft),
  ]
  const problem = new Uint8Array(pieces.count)
  for (const { problem: told } of found) {
    for (const reach of told.reaches) if (problem[reach] === 0) problem[reach] = NETWORK_PROBLEM.indexOf(told.kind)
  }
  return { problem, found }
}

type Kind = Exclude<NetworkProblemKind, 'none'>

function atNode(
  draft: NetworkDraft,
  kind: Kind,
  node: number,
  reaches: readonly number[],
  note: string,
  mend: Mend | null = null,
): FoundProblem {
  const { nodePosition } = draft.network
  const [longitude, latitude] = [nodePosition[2 * node]!, nodePosition[2 * node + 1]!]
  return { problem: { kind, reaches, longitude, latitude, note }, mend }
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

function findGaps(draft: NetworkDraft, ends: NodeLists): FoundProblem[] {
  const { network, field } = draft
  const problems: FoundProblem[] = []
  const near = new NearPaths(field)
  for (let v = 0; v < network.nodeCount; v++) {
    if (degree(ends, v) !== 1 || network.isOutlet[v]) continue
    const reach = ends.items[ends.offsets[v]!]! >> 1
    const found = findGapAt(draft, ends, near, v, reach)
    if (found < 0) continue
    const line = network.lines[field.paths.line[near.path[found]!]!]!
    const away = Math.sqrt(near.square[found]!)
    const note = `The end of ${lineName(draft, reach)} lies ${away.toFixed(1)} m from line ${line.id} and does not meet it.`
    problems.push(atNode(draft, 'gap', v, [reach], note, mendGap(draft, v, reach, line.id)))
  }
  return problems
}

/** Which of the near paths a dead end all but meets; those that meet at the other end of its reach do not count. */
function findGapAt(
  { network, pieces, snap }: NetworkDraft,
  ends: NodeLists,
  near: NearPaths,
  v: number,
  reach: number,
): number {
  near.find(network.nodePosition[2 * v]!, network.nodePosition[2 * v + 1]!, Math.max(GAP_REACH, snap))
  const other = network.from[reach] === v ? network.to[reach]! : network.from[reach]!
  const least = Math.max(snap, 1e-6) ** 2
  let best = -1
  for (let i = 0; i < near.count; i++) {
    if (near.square[i]! <= least || (best >= 0 && near.square[i]! >= near.square[best]!)) continue
    let isOwn = false
    for (let k = ends.offsets[other]!; k < ends.offsets[other + 1]!; k++) {
      if (pieces.path[ends.items[k]! >> 1] === near.path[i]) isOwn = true
    }
    if (!isOwn) best = i
  }
  return best
}

function findReversed(draft: NetworkDraft, ends: NodeLists, sinks: readonly number[]): FoundProblem[] {
  const { network, direction } = draft
  const problems = direction.conflicts.map(({ reach, kind }) =>
    atNode(
      draft,
      'reversed',
      network.from[reach]!,
      [reach],
      `${capital(lineName(draft, reach))} ${CONFLICT_WORDS[kind]}.`,
      // Where evidence overruled the digitised order the flow stands already: to accept it is to settle it.
      mendDirection(draft, reach, kind !== 'attribute-against-elevation'),
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
    problems.push(
      atNode(draft, 'reversed', v, reaches, note, suspect >= 0 ? mendDirection(draft, suspect, false) : null),
    )
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

function findLoops(draft: NetworkDraft, ends: NodeLists): FoundProblem[] {
  const { network, isLoop } = draft
  const sets = new DisjointSets(network.nodeCount)
  for (let r = 0; r < network.reachCount; r++) if (isLoop[r]) sets.join(network.from[r]!, network.to[r]!)
  const groups = new Map<number, number[]>()
  for (let r = 0; r < network.reachCount; r++) {
    if (!isLoop[r]) continue
    const root = sets.leader(network.from[r]!)
    const group = groups.get(root)
    if (group) group.push(r)
    else groups.set(root, [r])
  }
  return [...groups.values()].map(reaches => {
    const count = reaches.length === 1 ? 'One reach flows' : `${reaches.length} reaches flow`
    return atNode(
      draft,
      'loop',
      network.from[reaches[0]!]!,
      reaches,
      `${count} round in a loop.`,
      mendLoop(draft, ends, reaches),
    )
  })
}

function findDeadEnds(draft: NetworkDraft, ends: NodeLists, sinks: readonly number[]): FoundProblem[] {
  return sinks
    .filter(v => degree(ends, v) === 1)
    .map(v => {
      const reach = ends.items[ends.offsets[v]!]! >> 1
      const note = `The flow of ${lineName(draft, reach)} ends here, and the place is not marked as an outlet.`
      return atNode(draft, 'dead_end', v, [reach], note, mendEnd(draft, v))
    })
}

function findUnnoded(draft: NetworkDraft): FoundProblem[] {
  const { network, pieces, field, unnoded } = draft
  if (unnoded.count === 0) return []
  const problems: FoundProblem[] = []
  for (let i = 0; i < unnoded.count; i++) {
    const isCrossing = unnoded.isCrossing[i] === 1
    const [pathA, pathB] = [unnoded.a[i]!, unnoded.b[i]!]
    const [longitude, latitude] = positionOnPath(field.paths.coords, unnoded.placeB[i]!)
    const reaches = [
      ...new Set([reachNear(pieces, pathA, longitude, latitude), reachNear(pieces, pathB, longitude, latitude)]),
    ]
    const [a, b] = [pathA, pathB].map(path => network.lines[field.paths.line[path]!]!.id)
    const verb = isCrossing ? 'crosses' : 'ends on the side of'
    problems.push({
      problem: {
        kind: 'crossing',
        reaches: reaches.filter(r => r >= 0),
        longitude,
        latitude,
        note: `Line ${a} ${verb} line ${b} without a node.`,
      },
      mend: mendContact([a!, b!], longitude, latitude),
    })
  }
  return problems
}

/** Parts of the network without an outlet: all but the longest where none is marked, else those without a marked one. */
function findDisconnected(draft: NetworkDraft, sinks: readonly number[]): FoundProblem[] {
  const { network } = draft
  const sets = new DisjointSets(network.nodeCount)
  for (let r = 0; r < network.reachCount; r++) sets.join(network.from[r]!, network.to[r]!)
  const length = new Float64Array(network.nodeCount)
  const hasOutlet = new Uint8Array(network.nodeCount)
  let isAnyMarked = false
  let longest = 0
  for (let r = 0; r < network.reachCount; r++) {
    const root = sets.leader(network.from[r]!)
    length[root]! += network.length[r]!
    if (length[root]! > longest) longest = length[root]!
    if (!network.isOutlet[network.from[r]!] && !network.isOutlet[network.to[r]!]) continue
    hasOutlet[root] = 1
    isAnyMarked = true
  }
  const parts = new Map<number, number[]>()
  for (let r = 0; r < network.reachCount; r++) {
    const root = sets.leader(network.from[r]!)
    if (hasOutlet[root] || !(isAnyMarked || length[root]! < longest)) continue
    const reaches = parts.get(root)
    if (reaches) reaches.push(r)
    else parts.set(root, [r])
  }
  const endOf = onlyEnds(parts, [...sinks, ...draft.direction.foundOutlets], node => sets.leader(node))
  return [...parts].map(([root, reaches]) => {
    const end = endOf.get(root) ?? -1
    const size = reaches.length === 1 ? 'One reach' : `${reaches.length} reaches`
    const note = `${size} of ${length[root]!.toFixed(0)} m in all ${reaches.length === 1 ? 'is' : 'are'} not connected to an outlet.`
    return atNode(
      draft,
      'disconnected',
      network.from[reaches[0]!]!,
      reaches,
      note,
      end < 0 ? null : mendEnd(draft, end),
    )
  })
}

/** The one end of each part, -1 for parts with several. */
function onlyEnds(
  parts: ReadonlyMap<number, unknown>,
  ends: readonly number[],
  partOf: (node: number) => number,
): Map<number, number> {
  const only = new Map<number, number>()
  for (const node of new Set(ends)) {
    const part = partOf(node)
    if (parts.has(part)) only.set(part, only.has(part) ? -1 : node)
  }
  return only
}

function findUndirected(draft: NetworkDraft): FoundProblem[] {
  const { network } = draft
  const problems: FoundProblem[] = []
  for (let r = 0; r < network.reachCount; r++) {
    if (network.evidence[r] !== 0) continue
    const note = `The direction of ${lineName(draft, r)} is unknown; what enters it is not routed.`
    problems.push(atNode(draft, 'no_direction', network.from[r]!, [r], note))
  }
  return problems
}
