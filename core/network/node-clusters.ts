import { DisjointSets } from '../geo/index.ts'
import { LocalScale, localMetresAt } from './local-metres.ts'
import { orderOfKeys } from './number-order.ts'

/** Points gathered into nodes. `node[i]` is the node of point i; nodes are numbered by strips of latitude from the south, in each by longitude. */
export interface NodeClusters {
  readonly node: Uint32Array
  readonly nodeCount: number
  /** Mean place of the points of each node: longitude, latitude. */
  readonly position: Float64Array
}

/** Metres in a degree of latitude are at least this much anywhere. */
const LEAST_METRES_A_DEGREE = 110_500
/** Strips of latitude that nodes are numbered by, at most. */
const MOST_STRIPS = 4096
/** Width of a cell of the hash grid, snaps. */
const CELL = 16

/**
 * Points within `snap` metres of each other become one node, and so do the pairs of `ties`; chains hang together.
 * The result does not depend on the order of the points, apart from the numbering of `node` itself.
 * Accuracy and cost: linear in the points (a grid hash, a radix sort for the numbering).
 */
export function clusterPoints(points: Float64Array, snap: number, ties: Uint32Array): NodeClusters {
  const count = points.length / 2
  const sets = new DisjointSets(count)
  for (let i = 0; i < ties.length; i += 2) sets.join(ties[i]!, ties[i + 1]!)
  joinNeighbours(points, Math.max(snap, 1e-6), sets)
  return numberNodes(points, sets)
}

/** A hash grid of cells sixteen times the snap wide, so that most points look into one alone; each point looks at the earlier ones in the cells that its snap reaches. */
function joinNeighbours(points: Float64Array, snap: number, sets: DisjointSets): void {
  const count = points.length / 2
  const [west, south, east, north] = boundsOfPlaces(points)
  // Degrees are narrowest where it is steepest: there a cell is as wide as it is meant to be, elsewhere wider.
  const dx = (1.001 * snap) / localMetresAt(Math.max(Math.abs(south), Math.abs(north))).x
  const dy = (1.001 * snap) / LEAST_METRES_A_DEGREE
  const mask = 2 ** Math.ceil(Math.log2(2 * count + 2)) - 1
  const columns = Math.ceil((east - west) / (CELL * dx)) + 1
  const head = new Int32Array(mask + 1).fill(-1)
  const next = new Int32Array(count)
  const scale = new LocalScale()
  for (let i = 0; i < count; i++) {
    const x = points[2 * i]!
    const y = points[2 * i + 1]!
    const atX = (x - west) / (CELL * dx)
    const atY = (y - south) / (CELL * dy)
    const right = Math.floor(atX + 1 / CELL)
    const top = Math.floor(atY + 1 / CELL)
    for (let row = Math.floor(atY - 1 / CELL); row <= top; row++) {
      for (let column = Math.floor(atX - 1 / CELL); column <= right; column++) {
        const slot = (column + Math.imul(row, columns)) & mask
        for (let other = head[slot]!; other >= 0; other = next[other]!) {
          const ex = points[2 * other]! - x
          const ey = points[2 * other + 1]! - y
          if (ex > dx || ex < -dx || ey > dy || ey < -dy) continue
          scale.moveTo(y)
          const [mx, my] = [ex * scale.x, ey * scale.y]
          if (mx * mx + my * my <= snap * snap) sets.join(i, other)
        }
      }
    }
    const slot = (Math.floor(atX) + Math.imul(Math.floor(atY), columns)) & mask
    next[i] = head[slot]!
    head[slot] = i
  }
}

function boundsOfPlaces(points: Float64Array): [west: number, south: number, east: number, north: number] {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity]
  for (let i = 0; i < points.length; i += 2) {
    const x = points[i]!
    const y = points[i + 1]!
    if (x < west) west = x
    if (x > east) east = x
    if (y < south) south = y
    if (y > north) north = y
  }
  return [west, south, east, north]
}

function numberNodes(points: Float64Array, sets: DisjointSets): NodeClusters {
  const count = points.length / 2
  const isBefore = (a: number, b: number) =>
    points[2 * a]! < points[2 * b]! || (points[2 * a] === points[2 * b] && points[2 * a + 1]! < points[2 * b + 1]!)
  // Nodes as they come, each with its first member in the order of places.
  const node = new Uint32Array(count)
  const first = new Uint32Array(count)
  const nodeOfRoot = new Int32Array(count).fill(-1)
  let nodeCount = 0
  for (let i = 0; i < count; i++) {
    const root = sets.leader(i)
    if (nodeOfRoot[root]! < 0) {
      nodeOfRoot[root] = nodeCount
      first[nodeCount++] = i
    }
    node[i] = nodeOfRoot[root]!
    if (isBefore(i, first[node[i]!]!)) first[node[i]!] = i
  }
  const order = orderOfPlaces(points, first.subarray(0, nodeCount))
  const rank = new Uint32Array(nodeCount)
  for (let k = 0; k < nodeCount; k++) rank[order[k]!] = k
  for (let i = 0; i < count; i++) node[i] = rank[node[i]!]!
  return { node, nodeCount, position: meanPlaces(points, node, nodeCount) }
}

/** Order of places by strips of latitude, then longitude, then latitude: what is near on the ground is near in the columns. */
function orderOfPlaces(points: Float64Array, items: Uint32Array): Uint32Array {
  const [west, south, east, north] = boundsOfPlaces(points)
  const strips = Math.min(MOST_STRIPS, Math.ceil(Math.sqrt(items.length)))
  const steps = Math.floor(0xffffffff / strips)
  const perStrip = north > south ? strips / (north - south) : 0
  const perStep = east > west ? (steps - 1) / (east - west) : 0
  const key = new Uint32Array(items.length)
  for (let k = 0; k < items.length; k++) {
    const strip = Math.min(strips - 1, Math.floor((points[2 * items[k]! + 1]! - south) * perStrip))
    key[k] = strip * steps + Math.floor((points[2 * items[k]!]! - west) * perStep)
  }
  const order = orderOfKeys(key)
  for (let start = 0; start < order.length; ) {
    let end = start + 1
    while (end < order.length && key[order[end]!] === key[order[start]!]) end++
    if (end > start + 1) {
      order
        .subarray(start, end)
        .sort(
          (a, b) =>
            points[2 * items[a]!]! - points[2 * items[b]!]! || points[2 * items[a]! + 1]! - points[2 * items[b]! + 1]!,
        )
    }
    start = end
  }
  return order
}

/** Means of the members of each node, summed in the order of their places as differences from the first: equal points give exactly their place. */
function meanPlaces(points: Float64Array, node: Uint32Array, nodeCount: number): Float64Array {
  const offsets = new Uint32Array(nodeCount + 1)
  for (let i = 0; i < node.length; i++) offsets[node[i]! + 1]!++
  for (let v = 0; v < nodeCount; v++) offsets[v + 1]! += offsets[v]!
  const fill = offsets.slice(0, nodeCount)
  const members = new Uint32Array(node.length)
  for (let i = 0; i < node.length; i++) members[fill[node[i]!]!++] = i
  const compare = (a: number, b: number) => points[2 * a]! - points[2 * b]! || points[2 * a + 1]! - points[2 * b + 1]!
  const position = new Float64Array(2 * nodeCount)
  for (let v = 0; v < nodeCount; v++) {
    sortFew(members, offsets[v]!, offsets[v + 1]!, compare)
    const first = members[offsets[v]!]!
    const x = points[2 * first]!
    const y = points[2 * first + 1]!
    const size = offsets[v + 1]! - offsets[v]!
    let [sumX, sumY] = [0, 0]
    for (let i = offsets[v]!; i < offsets[v + 1]!; i++) {
      sumX += (points[2 * members[i]!]! - x) / size
      sumY += (points[2 * members[i]! + 1]! - y) / size
    }
    position[2 * v] = x + sumX
    position[2 * v + 1] = y + sumY
  }
  return position
}

/** Sorts a stretch of a list: by insertion while it is short. */
function sortFew(list: Uint32Array, start: number, end: number, compare: (a: number, b: number) => number): void {
  if (end - start > 24) {
    list.subarray(start, end).sort(compare)
    return
  }
  for (let i = start + 1; i < end; i++) {
    const item = list[i]!
    let at = i
    for (; at > start && compare(list[at - 1]!, item) > 0; at--) list[at] = list[at - 1]!
    list[at] = item
  }
}
