import { DIRECTION_EVIDENCE, type NetworkRepair, type RepairDecision } from '../model/index.ts'
import type { NodeLists } from './flow-graph.ts'
import { localMetresAt } from './local-metres.ts'
import type { FoundProblem, MadeRepair, Mend, NetworkDraft } from './network-draft.ts'
import type { ReachPieces } from './reach-pieces.ts'
import { repairId } from './repair-ids.ts'

const lineOf = ({ network }: NetworkDraft, reach: number): string => network.lines[network.line[reach]!]!.id

const nodePlace = ({ network }: NetworkDraft, node: number): [number, number] => [
  network.nodePosition[2 * node]!,
  network.nodePosition[2 * node + 1]!,
]

/** Joins a dead end to the line that it all but meets. */
export function mendGap(draft: NetworkDraft, node: number, reach: number, target: string): Mend {
  const line = lineOf(draft, reach)
  return {
    action: 'bridge',
    id: repairId('bridge', [line, target], ...nodePlace(draft, node)),
    proposal: `Join the end of line ${line} to line ${target}; nothing is moved, and the gap adds no length.`,
  }
}

/** Settles the flow of a reach's line as it stands, or turns it round. */
export function mendDirection(draft: NetworkDraft, reach: number, isAsItStands: boolean): Mend {
  const { pieces, field, direction } = draft
  const path = pieces.path[reach]!
  const first = field.paths.offsets[path]!
  const isAgainst = (direction.isFlipped[reach] === 1) === isAsItStands
  const line = lineOf(draft, reach)
  return {
    action: 'turn',
    id: repairId(
      isAgainst ? 'turn-against' : 'turn-with',
      [line],
      field.paths.coords[2 * first]!,
      field.paths.coords[2 * first + 1]!,
    ),
    proposal: `Let line ${line} flow ${isAgainst ? 'against' : 'with'} its digitised order.`,
  }
}

/** The reach of a loop to turn: it must leave no node without a way out, rest on the weakest evidence, and be the shortest of those. */
export function mendLoop(draft: NetworkDraft, ends: NodeLists, reaches: readonly number[]): Mend | null {
  const { network } = draft
  const leaves = (node: number, except: number) => {
    for (let k = ends.offsets[node]!; k < ends.offsets[node + 1]!; k++) {
      const reach = ends.items[k]! >> 1
      if (reach !== except && network.evidence[reach] !== 0 && network.from[reach] === node) return true
    }
    return false
  }
  const strength = (reach: number) => WEAKEST_FIRST.indexOf(DIRECTION_EVIDENCE[network.evidence[reach]!]!)
  const candidates = reaches
    .filter(reach => network.from[reach] !== network.to[reach] && leaves(network.from[reach]!, reach))
    .map(reach => ({ reach, mend: mendDirection(draft, reach, false) }))
    .sort(
      (a, b) =>
        strength(a.reach) - strength(b.reach) ||
        network.length[a.reach]! - network.length[b.reach]! ||
        (a.mend.id < b.mend.id ? -1 : 1),
    )
  return candidates[0]?.mend ?? null
}

const WEAKEST_FIRST = ['none', 'digitised', 'outlet', 'elevation', 'attribute', 'repaired']

/** Marks an end of the water as an outlet. */
export function mendEnd(draft: NetworkDraft, node: number): Mend {
  return {
    action: 'mark_outlet',
    id: repairId('mark_outlet', [], ...nodePlace(draft, node)),
    proposal: 'Mark this end as an outlet: what arrives here has left the network.',
  }
}

/** Makes a node where two lines cross or touch. */
export function mendContact(lines: readonly string[], longitude: number, latitude: number): Mend {
  const pair = [...lines].sort()
  return {
    action: 'node',
    id: repairId('node', pair, longitude, latitude),
    proposal: `Let lines ${pair.join(' and ')} meet here in a node.`,
  }
}

/** The repair list: what was made, then what would mend each problem, one entry an id. */
export function listRepairs(
  draft: NetworkDraft,
  found: readonly FoundProblem[],
  made: readonly MadeRepair[],
  decisions: readonly RepairDecision[],
): NetworkRepair[] {
  const decided = new Map(decisions.map(({ id, isAccepted }) => [id, isAccepted ? 'accepted' : 'declined'] as const))
  const listed = new Map<string, NetworkRepair>()
  for (const { path, node, ...repair } of made) {
    const reaches =
      path >= 0
        ? [reachNear(draft.pieces, path, repair.longitude, repair.latitude)].filter(reach => reach >= 0)
        : reachesOfNode(draft, node)
    listed.set(repair.id, { ...repair, reaches })
  }
  for (const { problem, mend } of found) {
    if (mend === null || listed.has(mend.id)) continue
    const { kind, reaches, longitude, latitude, note } = problem
    const decision = decided.get(mend.id) ?? 'open'
    listed.set(mend.id, { ...mend, problem: kind, reaches, longitude, latitude, evidence: note, decision })
  }
  return [...listed.values()]
}

function reachesOfNode({ network }: NetworkDraft, node: number): number[] {
  const reaches: number[] = []
  for (let r = 0; r < network.reachCount; r++) if (network.from[r] === node || network.to[r] === node) reaches.push(r)
  return reaches
}

/** The piece of a path that comes nearest to a place, -1 where the path has none. Pieces stand in the order of the paths. */
export function reachNear(
  { path: pathOf, count, coords, vertexOffsets }: ReachPieces,
  path: number,
  longitude: number,
  latitude: number,
): number {
  let [low, high] = [0, count]
  while (low < high) {
    const middle = (low + high) >> 1
    if (pathOf[middle]! < path) low = middle + 1
    else high = middle
  }
  const scale = localMetresAt(latitude)
  let [best, least] = [-1, Number.POSITIVE_INFINITY]
  for (let r = low; r < count && pathOf[r] === path; r++) {
    if (pathOf[low + 1] !== path) return low
    for (let i = vertexOffsets[r]!; i < vertexOffsets[r + 1]! - 1; i++) {
      const [ax, ay] = [(coords[2 * i]! - longitude) * scale.x, (coords[2 * i + 1]! - latitude) * scale.y]
      const [dx, dy] = [(coords[2 * i + 2]! - longitude) * scale.x - ax, (coords[2 * i + 3]! - latitude) * scale.y - ay]
      const t = Math.min(1, Math.max(0, -(ax * dx + ay * dy) / (dx * dx + dy * dy)))
      const away = Math.hypot(ax + t * dx, ay + t * dy)
      if (away < least) [best, least] = [r, away]
    }
  }
  return best
}
