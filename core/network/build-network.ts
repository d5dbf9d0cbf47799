import type { Layer } from '../geo/index.ts'
import { measureDistance } from '../geo/index.ts'
import {
  InputError,
  type Position,
  type ReachLine,
  type ReachNetwork,
  type RepairDecision,
  type Task,
} from '../model/index.ts'
import { AcceptedRepairs } from './accepted-repairs.ts'
import { decideFlowDirection, type FlowDirection } from './flow-direction.ts'
import { type LineAttributes, readLineAttributes, type WaterwayFields } from './line-attributes.ts'
import { extractLinePaths } from './line-paths.ts'
import { findNetworkProblems } from './network-problems.ts'
import { listRepairs } from './network-repairs.ts'
import {
  buildPathField,
  findCrossings,
  findTouches,
  joinContacts,
  NO_CONTACTS,
  type PathContacts,
  type PathField,
  pickContacts,
} from './path-contacts.ts'
import { cutIntoPieces, type ReachPieces } from './reach-pieces.ts'
import { computeStreamOrders, orderFlow } from './stream-order.ts'
import { measureWaysOut } from './ways-out.ts'

/** A place given as an outlet may lie this far from the node it means, metres, where snap is less. Common practice, no source. */
const OUTLET_REACH = 25

export interface NetworkInput {
  /** Lines in WGS 84 degrees. */
  readonly lines: Layer
  readonly fields: WaterwayFields
  /** Ends within this distance are one node, metres. */
  readonly snap: number
  /** Whether lines are noded where they cross, and where one ends on the side of another. */
  readonly isNodingCrossings: boolean
  /** Whether lines are noded where one ends on the side of another, crossings apart. */
  readonly isNodingTouches?: boolean
  /** Places of outlets, beside those that lines mark themselves. */
  readonly outlets: readonly Position[]
  /** What was decided about repairs that an earlier run proposed; those accepted are made. */
  readonly repairs?: readonly RepairDecision[]
}

/**
 * The reach network of a layer of lines: noded, directed, with orders, and with its problems told and none mended in silence.
 *
 * Lines are noded where their ends lie within snap of each other; with `isNodingCrossings` also where they cross or touch,
 * else each crossing and touch is a problem. Geometry is kept as it was; nodes lie at the mean of the ends they gather.
 * Range: snap >= 0. Absent: a layer without lines gives a network without reaches.
 * Errors: InputError for coordinates off the globe, values that cannot be read, an outlet far from every node.
 * Accuracy and cost: ellipsoidal lengths; near linear in the vertices.
 */
export async function buildNetwork(input: NetworkInput, task: Task): Promise<ReachNetwork> {
  if (!(input.snap >= 0)) {
    throw new InputError({
      code: 'network-snap',
      value: String(input.snap),
      reason: 'the snap distance is not a number of metres from 0 up',
      remedy: 'Give a distance such as 2.',
    })
  }
  await task.step(0, 'Taking lines apart')
  const paths = extractLinePaths(input.lines, task)
  const attributes = readLineAttributes(input.lines, input.fields)
  await task.step(0, 'Laying a grid over the lines')
  const field = buildPathField(paths, input.snap)
  const accepted = new AcceptedRepairs(field, attributes.describe, input.repairs ?? [])
  const contacts = await sortContacts(input, field, attributes, accepted, task.part(0, 0.5))
  const pieces = await cutIntoPieces(paths, contacts.noded, input.snap, task.part(0.5, 0.85))
  const line = pieces.path.map(path => paths.line[path]!)
  await task.step(0.86, 'Finding which way the water runs')
  const isOutlet = markOutlets(input, pieces, line, attributes)
  accepted.markOutlets(pieces, isOutlet)
  const direction = directPieces(pieces, line, attributes, isOutlet, accepted.turns())
  accepted.warnOfMissing(task)
  await task.step(0.92, 'Ordering the streams')
  const columns = orientPieces(pieces, direction)
  const network = {
    reachCount: pieces.count,
    nodeCount: pieces.nodeCount,
    ...columns,
    length: pieces.length,
    line,
    evidence: direction.evidence,
    isBothWays: direction.isBothWays,
    share: shareAtStart(pieces, line, direction, attributes),
    retention: spreadNumbers(line, attributes.retention),
    nodePosition: pieces.nodePosition,
    isOutlet,
    water: spreadBytes(line, attributes.water),
    velocity: spreadNumbers(line, attributes.velocity),
  }
  const order = orderFlow(network)
  const { isLoop, ...orders } = computeStreamOrders(network, order)
  await task.step(0.94, 'Measuring the ways to the outlets')
  const ways = measureWaysOut(network, order)
  await task.step(0.95, 'Looking for gaps, dead ends and loops')
  const draft = {
    network: { ...network, ...orders, ...ways, lines: describeLines(input.lines.featureCount, attributes) },
    pieces,
    field,
    snap: input.snap,
    isLoop,
    direction,
    unnoded: contacts.unnoded,
  }
  const { problem, found } = findNetworkProblems(draft)
  return {
    ...draft.network,
    problem,
    problems: found.map(({ problem: told }) => told),
    repairs: listRepairs(draft, found, accepted.made, input.repairs ?? []),
  }
}

/** Contacts that become nodes, and those that are told as problems; a line marked as not to node has none along its side. */
async function sortContacts(
  input: NetworkInput,
  field: PathField,
  { isUnnoded }: LineAttributes,
  accepted: AcceptedRepairs,
  task: Task,
): Promise<{ noded: PathContacts; unnoded: PathContacts }> {
  const { snap, isNodingCrossings, isNodingTouches = false } = input
  const lineOf = field.paths.line
  const touches = await findTouches(field, snap, task.part(0, 0.4))
  const crossings = await findCrossings(field, snap, task.part(0.4, 1))
  const positions = (contacts: PathContacts, isKept: (i: number) => boolean) => {
    const kept: number[] = []
    for (let i = 0; i < contacts.count; i++) if (isKept(i)) kept.push(i)
    return kept
  }
  const isMarked = isUnnoded.includes(1)
  const open = isMarked
    ? pickContacts(
        touches,
        positions(touches, i => !isUnnoded[lineOf[touches.b[i]!]!]),
      )
    : touches
  const crossed = isMarked
    ? pickContacts(
        crossings,
        positions(crossings, i => !isUnnoded[lineOf[crossings.a[i]!]!] && !isUnnoded[lineOf[crossings.b[i]!]!]),
      )
    : crossings
  const isNodingEnds = isNodingCrossings || isNodingTouches
  const left = joinContacts(isNodingEnds ? NO_CONTACTS : open, isNodingCrossings ? NO_CONTACTS : crossed)
  const asked = joinContacts(isNodingEnds ? open : NO_CONTACTS, isNodingCrossings ? crossed : NO_CONTACTS)
  if (accepted.isEmpty) return { noded: asked, unnoded: left }
  const split = accepted.splitNodes(left)
  return { noded: joinContacts(joinContacts(asked, split.noded), accepted.bridges()), unnoded: split.left }
}

function directPieces(
  pieces: ReachPieces,
  line: Uint32Array,
  attributes: LineAttributes,
  isOutlet: Uint8Array,
  turns: Uint8Array,
): FlowDirection {
  return decideFlowDirection({
    from: pieces.from,
    to: pieces.to,
    nodeCount: pieces.nodeCount,
    given: spreadBytes(line, attributes.direction),
    drop: spreadNumbers(line, attributes.drop),
    isDeclared: spreadBytes(line, attributes.isDeclared),
    isOutlet,
    repaired: spreadBytes(pieces.path, turns),
  })
}

function describeLines(count: number, { describe }: LineAttributes): ReachLine[] {
  const lines: ReachLine[] = []
  for (let line = 0; line < count; line++) lines.push(describe(line))
  return lines
}

/** A line's value for each of its pieces. */
function spreadNumbers(line: Uint32Array, values: Float64Array): Float64Array {
  const spread = new Float64Array(line.length)
  for (let r = 0; r < line.length; r++) spread[r] = values[line[r]!]!
  return spread
}

function spreadBytes(line: Uint32Array, values: Uint8Array): Uint8Array {
  const spread = new Uint8Array(line.length)
  for (let r = 0; r < line.length; r++) spread[r] = values[line[r]!]!
  return spread
}

/** Whether a line's flow runs against its digitised order by attribute or elevation; where nothing tells, as digitised. */
function runsAgainst(attributes: LineAttributes, line: number): boolean {
  const given = attributes.direction[line]!
  return given === 2 || (given === 0 && attributes.drop[line]! < 0)
}

function markOutlets(
  input: NetworkInput,
  pieces: ReachPieces,
  line: Uint32Array,
  attributes: LineAttributes,
): Uint8Array {
  const isOutlet = new Uint8Array(pieces.nodeCount)
  for (let r = 0; r < pieces.count; r++) {
    if (!attributes.isOutlet[line[r]!]) continue
    const isAgainst = runsAgainst(attributes, line[r]!)
    const neighbour = isAgainst ? r - 1 : r + 1
    const isLast = neighbour < 0 || neighbour >= pieces.count || pieces.path[neighbour] !== pieces.path[r]
    if (isLast) isOutlet[isAgainst ? pieces.from[r]! : pieces.to[r]!] = 1
  }
  for (const [longitude, latitude] of input.outlets) {
    const node = findNearestNode(pieces, longitude, latitude)
    const away = node === undefined ? Number.POSITIVE_INFINITY : distanceToNode(pieces, node, longitude, latitude)
    if (!(away <= Math.max(input.snap, OUTLET_REACH))) {
      throw new InputError({
        code: 'network-outlet-far',
        value: `${longitude}, ${latitude}`,
        reason: Number.isFinite(away)
          ? `the nearest end of a line is ${away.toFixed(1)} m from this outlet`
          : 'there is no line for this outlet',
        remedy: 'Give the outlet as longitude, latitude of the end of a line.',
      })
    }
    isOutlet[node!] = 1
  }
  return isOutlet
}

const distanceToNode = (pieces: ReachPieces, node: number, longitude: number, latitude: number): number =>
  measureDistance(longitude, latitude, pieces.nodePosition[2 * node]!, pieces.nodePosition[2 * node + 1]!)

function findNearestNode(pieces: ReachPieces, longitude: number, latitude: number): number | undefined {
  const squeeze = Math.cos((latitude * Math.PI) / 180)
  let best: number | undefined
  let least = Number.POSITIVE_INFINITY
  for (let v = 0; v < pieces.nodeCount; v++) {
    const away = Math.hypot(
      (pieces.nodePosition[2 * v]! - longitude) * squeeze,
      pieces.nodePosition[2 * v + 1]! - latitude,
    )
    if (away < least) [best, least] = [v, away]
  }
  return best
}

/** Turns pieces so that each runs from its upstream to its downstream node; their vertices are turned where they lie. */
function orientPieces(pieces: ReachPieces, { isFlipped }: FlowDirection) {
  const from = pieces.from.slice()
  const to = pieces.to.slice()
  const { coords, vertexOffsets } = pieces
  for (let r = 0; r < pieces.count; r++) {
    if (!isFlipped[r]) continue
    from[r] = pieces.to[r]!
    to[r] = pieces.from[r]!
    turnVertices(coords, vertexOffsets[r]!, vertexOffsets[r + 1]! - 1)
  }
  return { from, to, coords, vertexOffsets }
}

function turnVertices(coords: Float64Array, first: number, last: number): void {
  for (let [i, k] = [2 * first, 2 * last]; i < k; i += 2, k -= 2) {
    const [x, y] = [coords[i]!, coords[i + 1]!]
    coords[i] = coords[k]!
    coords[i + 1] = coords[k + 1]!
    coords[k] = x
    coords[k + 1] = y
  }
}

/** A line's share belongs to the piece that leaves the line's own start. */
function shareAtStart(
  pieces: ReachPieces,
  line: Uint32Array,
  direction: FlowDirection,
  attributes: LineAttributes,
): Float64Array {
  const share = new Float64Array(pieces.count)
  for (let r = 0; r < pieces.count; r++) {
    const before = direction.isFlipped[r] ? r + 1 : r - 1
    const isFirst = before < 0 || before >= pieces.count || pieces.path[before] !== pieces.path[r]
    share[r] = isFirst ? attributes.share[line[r]!]! : Number.NaN
  }
  return share
}
