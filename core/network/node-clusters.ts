import { DisjointSets } from './disjoint-sets.ts'
import { localMetresAt } from './local-metres.ts'

/** Points gathered into nodes. `node[i]` is the node of point i; nodes are numbered by longitude, then latitude. */
export interface NodeClusters {
  readonly node: Uint32Array
  readonly nodeCount: number
  /** Mean place of the points of each node: longitude, latitude. */
  readonly position: Float64Array
}

/** Metres in a degree of latitude are at least this much anywhere. */
const LEAST_METRES_A_DEGREE = 110_500

/**
 * Points within `snap` metres of each other become one node, and so do the pairs of `ties`; chains hang together.
 * The result does not depend on the order of the points, apart from the numbering of `node` itself.
 * Accuracy and cost: linear in the points (a grid hash), n log n for the numbering.
 */
export function clusterPoints(points: Float64Array, snap: number, ties: Uint32Array): NodeClusters {
  const count = points.length / 2
  const sets = new DisjointSets(count)
  for (let i = 0; i < ties.length; i += 2) sets.join(ties[i]!, ties[i + 1]!)
  joinNeighbours(points, Math.max(snap, 1e-6), sets)
  return numberNodes(points, sets)
}

function joinNeighbours(points: Float64Array, snap: number, sets: DisjointSets): void {
  const count = points.length / 2
  const grid = new SnapGrid(points, snap)
  for (let i = 0; i < count; i++) {
    const [x, y] = [points[2 * i]!, points[2 * i + 1]!]
    const scale = localMetresAt(y)
    grid.forEachEarlierNear(i, other => {
      const away = Math.hypot((points[2 * other]! - x) * scale.x, (points[2 * other + 1]! - y) * scale.y)
      if (away <= snap) sets.join(i, other)
    })
  }
}

/** A hash grid whose cells are at least one snap wide; points are added as they are asked for, in turn. */
class SnapGrid {
  readonly #points: Float64Array
  readonly #rowHeight: number
  readonly #snap: number
  readonly #mask: number
  readonly #head: Int32Array
  readonly #next: Int32Array

  constructor(points: Float64Array, snap: number) {
    const count = points.length / 2
    this.#points = points
    this.#snap = snap
    this.#rowHeight = (snap * 1.001) / LEAST_METRES_A_DEGREE
    const size = 2 ** Math.ceil(Math.log2(2 * count + 2))
    this.#mask = size - 1
    this.#head = new Int32Array(size).fill(-1)
    this.#next = new Int32Array(count)
  }

  forEachEarlierNear(point: number, visit: (other: number) => void): void {
    const [x, y] = [this.#points[2 * point]!, this.#points[2 * point + 1]!]
    const row = Math.floor(y / this.#rowHeight)
    for (let r = row - 1; r <= row + 1; r++) {
      const column = this.#columnOf(x, r)
      for (let c = column - 1; c <= column + 1; c++) {
        for (let other = this.#head[this.#slot(r, c)]!; other >= 0; other = this.#next[other]!) visit(other)
      }
    }
    const slot = this.#slot(row, this.#columnOf(x, row))
    this.#next[point] = this.#head[slot]!
    this.#head[slot] = point
  }

  #columnOf(x: number, row: number): number {
    const farthest = Math.min(89.99, Math.max(Math.abs(row), Math.abs(row + 1)) * this.#rowHeight)
    return Math.floor((x * localMetresAt(farthest).x) / (this.#snap * 1.001))
  }

  #slot(row: number, column: number): number {
    const mixed = Math.imul(row | 0, 0x9e3779b1) ^ Math.imul(column | 0, 0x85ebca6b)
    return (mixed ^ (mixed >>> 15)) & this.#mask
  }
}

function numberNodes(points: Float64Array, sets: DisjointSets): NodeClusters {
  const count = points.length / 2
  const order = new Uint32Array(count)
  for (let i = 0; i < count; i++) order[i] = i
  order.sort((a, b) => points[2 * a]! - points[2 * b]! || points[2 * a + 1]! - points[2 * b + 1]!)
  const nodeOfRoot = new Int32Array(count).fill(-1)
  const node = new Uint32Array(count)
  const first: number[] = []
  const members: number[] = []
  for (const point of order) {
    const root = sets.find(point)
    if (nodeOfRoot[root] === -1) {
      nodeOfRoot[root] = first.length
      first.push(point)
      members.push(0)
    }
    node[point] = nodeOfRoot[root]!
    members[node[point]!]!++
  }
  // Sums of differences from the first member, in sorted order: equal points give exactly their place.
  const position = new Float64Array(2 * first.length)
  for (const point of order) {
    const at = node[point]!
    for (const axis of [0, 1]) {
      position[2 * at + axis]! += (points[2 * point + axis]! - points[2 * first[at]! + axis]!) / members[at]!
    }
  }
  for (let at = 0; at < first.length; at++) {
    position[2 * at]! += points[2 * first[at]!]!
    position[2 * at + 1]! += points[2 * first[at]! + 1]!
  }
  return { node, nodeCount: first.length, position }
}
