import type { Task } from '../model/index.ts'
import type { LinePaths } from './line-paths.ts'
import { clusterPoints } from './node-clusters.ts'
import { type PathContacts, positionOnPath } from './path-contacts.ts'
import { ShortLengths } from './short-lengths.ts'

/** Pieces of paths between two nodes, in the order of the paths, as digitised. */
export interface ReachPieces {
  readonly count: number
  readonly path: Uint32Array
  readonly from: Uint32Array
  readonly to: Uint32Array
  readonly length: Float64Array
  readonly coords: Float64Array
  readonly vertexOffsets: Uint32Array
  readonly nodeCount: number
  readonly nodePosition: Float64Array
}

/** Ends of two paths that are one node by an accepted repair: a place on each. */
export interface PathTies {
  readonly placeA: ArrayLike<number>
  readonly placeB: ArrayLike<number>
}

/**
 * Cuts the paths at their contacts and gathers ends and cuts into nodes.
 * A path, or a stretch between two cuts, that is no longer than twice the snap and ends where it began has no length of its own.
 */
export async function cutIntoPieces(
  paths: LinePaths,
  contacts: PathContacts,
  snap: number,
  task: Task,
): Promise<ReachPieces> {
  const stops = gatherStops(paths, contacts)
  const points = new Float64Array(2 * stops.place.length)
  for (let i = 0; i < stops.place.length; i++) {
    const place = stops.place[i]!
    const vertex = Math.floor(place)
    const t = place - vertex
    const x = paths.coords[2 * vertex]!
    const y = paths.coords[2 * vertex + 1]!
    points[2 * i] = t === 0 ? x : x + t * (paths.coords[2 * vertex + 2]! - x)
    points[2 * i + 1] = t === 0 ? y : y + t * (paths.coords[2 * vertex + 3]! - y)
  }
  await task.step(0.1, 'Gathering the ends of lines into nodes')
  const clusters = clusterPoints(points, snap, stops.ties)
  const pieces = new PieceWriter(paths, clusters.node, Math.max(2 * snap, 2e-6))
  for (let path = 0; path < paths.pathCount; path++) {
    if (path % 20_000 === 0) await task.step(0.3 + (0.7 * path) / paths.pathCount, 'Cutting lines into reaches')
    pieces.addPath(path, stops.place, stops.offsets[path]!, stops.offsets[path + 1]!)
  }
  if (pieces.dropped > 0) {
    task.warn(
      'network-merged',
      `${pieces.dropped} lines are shorter than the snap distance and end where they begin; their nodes were merged.`,
    )
  }
  return { ...pieces.finish(), nodeCount: clusters.nodeCount, nodePosition: clusters.position }
}

interface Stops {
  /** Places along the paths, ends included, in order along each path. */
  readonly place: Float64Array
  readonly offsets: Uint32Array
  /** Pairs of stops that are one node by a contact. */
  readonly ties: Uint32Array
}

/** Cuts in columns: cut 2i is contact i on its path a (crossings alone), cut 2i + 1 on its path b. */
function gatherStops(paths: LinePaths, contacts: PathContacts): Stops {
  const { pathCount } = paths
  const offsets = new Uint32Array(pathCount + 1)
  for (let i = 0; i < contacts.count; i++) {
    if (contacts.isCrossing[i]) offsets[contacts.a[i]! + 1]!++
    offsets[contacts.b[i]! + 1]!++
  }
  for (let path = 0; path < pathCount; path++) offsets[path + 1]! += offsets[path]! + 2
  const cut = new Uint32Array(offsets[pathCount]!)
  const place = new Float64Array(offsets[pathCount]!)
  const fill = new Uint32Array(pathCount)
  for (let path = 0; path < pathCount; path++) {
    place[offsets[path]!] = paths.offsets[path]!
    place[offsets[path + 1]! - 1] = paths.offsets[path + 1]! - 1
    fill[path] = offsets[path]! + 1
  }
  // Contacts come in turn, so that equal places stay in the order of their contacts.
  const insert = (path: number, at: number, code: number) => {
    let slot = fill[path]!++
    const first = offsets[path]! + 1
    for (; slot > first && place[slot - 1]! > at; slot--) {
      place[slot] = place[slot - 1]!
      cut[slot] = cut[slot - 1]!
    }
    place[slot] = at
    cut[slot] = code
  }
  for (let i = 0; i < contacts.count; i++) {
    if (contacts.isCrossing[i]) insert(contacts.a[i]!, contacts.placeA[i]!, 2 * i)
    insert(contacts.b[i]!, contacts.placeB[i]!, 2 * i + 1)
  }
  return { place, offsets, ties: tieStops(paths, contacts, offsets, cut) }
}

function tieStops(paths: LinePaths, contacts: PathContacts, offsets: Uint32Array, cut: Uint32Array): Uint32Array {
  const ties = new Uint32Array(2 * contacts.count)
  for (let path = 0; path < paths.pathCount; path++) {
    for (let stop = offsets[path]! + 1; stop < offsets[path + 1]! - 1; stop++) ties[cut[stop]!] = stop
  }
  for (let i = 0; i < contacts.count; i++) {
    if (contacts.isCrossing[i]) continue
    const a = contacts.a[i]!
    ties[2 * i] = contacts.placeA[i] === paths.offsets[a] ? offsets[a]! : offsets[a + 1]! - 1
  }
  return ties
}

/** Collects pieces path by path. */
class PieceWriter {
  readonly #paths: LinePaths
  readonly #node: Uint32Array
  readonly #least: number
  readonly #lengths = new ShortLengths()
  readonly #path: Uint32Array
  readonly #from: Uint32Array
  readonly #to: Uint32Array
  readonly #length: Float64Array
  readonly #offsets: Uint32Array
  readonly #coords: Float64Array
  #count = 0
  /** Vertices written. */
  #used = 0
  dropped = 0

  constructor(paths: LinePaths, node: Uint32Array, least: number) {
    this.#paths = paths
    this.#node = node
    this.#least = least
    const most = node.length - paths.pathCount
    this.#path = new Uint32Array(most)
    this.#from = new Uint32Array(most)
    this.#to = new Uint32Array(most)
    this.#length = new Float64Array(most)
    this.#offsets = new Uint32Array(most + 1)
    // A cut adds a vertex on either side of it.
    this.#coords = new Float64Array(paths.coords.length + 4 * (node.length - 2 * paths.pathCount))
  }

  addPath(path: number, place: Float64Array, first: number, end: number): void {
    let start = first
    for (let stop = first + 1; stop < end; stop++) {
      const isLast = stop === end - 1
      const at = this.#used
      const length = this.#write(place[start]!, place[stop]!)
      const isShort = this.#node[start] === this.#node[stop] && length <= this.#least
      if (isShort && !isLast) {
        // The stretch stays with the piece that follows, so that no length is lost.
        this.#used = at
        continue
      }
      if (isShort && !this.#extendLast(path, place[start]!, place[stop]!, stop, at)) {
        this.dropped++
        continue
      }
      if (!isShort) this.#push(path, start, stop, length)
      start = stop
    }
  }

  /** Lengthens the piece before by a short last stretch of its path; false where the path has none yet. */
  #extendLast(path: number, from: number, to: number, stop: number, at: number): boolean {
    this.#used = at
    const last = this.#count - 1
    if (last < 0 || this.#path[last] !== path) return false
    for (let vertex = Math.floor(from) + 1; vertex <= to; vertex++) this.#copyVertex(vertex)
    this.#to[last] = this.#node[stop]!
    this.#offsets[last + 1] = this.#used
    this.#length[last]! += this.#lengths.measurePath(this.#coords, at - 1, this.#used - 1)
    return true
  }

  #push(path: number, start: number, stop: number, length: number): void {
    const at = this.#count++
    this.#path[at] = path
    this.#from[at] = this.#node[start]!
    this.#to[at] = this.#node[stop]!
    this.#length[at] = length
    this.#offsets[at + 1] = this.#used
  }

  /** Writes the vertices between two places and gives their length. */
  #write(from: number, to: number): number {
    const at = this.#used
    this.#copyPlace(from)
    for (let vertex = Math.floor(from) + 1; vertex < to; vertex++) this.#copyVertex(vertex)
    this.#copyPlace(to)
    return this.#lengths.measurePath(this.#coords, at, this.#used - 1)
  }

  #copyVertex(vertex: number): void {
    const source = this.#paths.coords
    const at = 2 * this.#used++
    this.#coords[at] = source[2 * vertex]!
    this.#coords[at + 1] = source[2 * vertex + 1]!
  }

  #copyPlace(place: number): void {
    const vertex = Math.floor(place)
    if (vertex === place) {
      this.#copyVertex(vertex)
      return
    }
    const [x, y] = positionOnPath(this.#paths.coords, place)
    const at = 2 * this.#used++
    this.#coords[at] = x
    this.#coords[at + 1] = y
  }

  finish(): Omit<ReachPieces, 'nodeCount' | 'nodePosition'> {
    const count = this.#count
    return {
      count,
      path: this.#path.slice(0, count),
      from: this.#from.slice(0, count),
      to: this.#to.slice(0, count),
      length: this.#length.slice(0, count),
      coords: this.#coords.slice(0, 2 * this.#used),
      vertexOffsets: this.#offsets.slice(0, count + 1),
    }
  }
}
