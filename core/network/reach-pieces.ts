import { measurePathLength } from '../geo/index.ts'
import type { Task } from '../model/index.ts'
import type { LinePaths } from './line-paths.ts'
import { clusterPoints } from './node-clusters.ts'
import { type PathContact, positionOnPath } from './path-contacts.ts'

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

/**
 * Cuts the paths at their contacts and gathers ends and cuts into nodes.
 * A path, or a stretch between two cuts, that is no longer than twice the snap and ends where it began has no length of its own.
 */
export async function cutIntoPieces(
  paths: LinePaths,
  contacts: readonly PathContact[],
  snap: number,
  task: Task,
): Promise<ReachPieces> {
  const stops = gatherStops(paths, contacts)
  const points = new Float64Array(2 * stops.place.length)
  for (let i = 0; i < stops.place.length; i++) {
    const [x, y] = positionOnPath(paths.coords, stops.place[i]!)
    points[2 * i] = x
    points[2 * i + 1] = y
  }
  await task.step(0.1, 'Gathering the ends of lines into nodes')
  const clusters = clusterPoints(points, snap, stops.ties)
  const pieces = new PieceWriter(paths, clusters.node, Math.max(2 * snap, 2e-6))
  for (let path = 0; path < paths.pathCount; path++) {
    if (path % 5000 === 0) await task.step(0.3 + (0.7 * path) / paths.pathCount, 'Cutting lines into reaches')
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

function gatherStops(paths: LinePaths, contacts: readonly PathContact[]): Stops {
  const cuts: { path: number; place: number; contact: number; side: 0 | 1 }[] = []
  contacts.forEach((contact, i) => {
    if (contact.kind === 'crossing') cuts.push({ path: contact.a, place: contact.placeA, contact: i, side: 0 })
    cuts.push({ path: contact.b, place: contact.placeB, contact: i, side: 1 })
  })
  cuts.sort((a, b) => a.path - b.path || a.place - b.place || a.contact - b.contact)
  const place = new Float64Array(2 * paths.pathCount + cuts.length)
  const offsets = new Uint32Array(paths.pathCount + 1)
  const ties = new Uint32Array(2 * contacts.length)
  let used = 0
  let cut = 0
  for (let path = 0; path < paths.pathCount; path++) {
    offsets[path] = used
    place[used++] = paths.offsets[path]!
    for (; cut < cuts.length && cuts[cut]!.path === path; cut++) {
      const { contact, side } = cuts[cut]!
      ties[2 * contact + side] = used
      place[used++] = cuts[cut]!.place
    }
    place[used++] = paths.offsets[path + 1]! - 1
  }
  offsets[paths.pathCount] = used
  contacts.forEach((contact, i) => {
    if (contact.kind !== 'touch') return
    const isStart = contact.placeA === paths.offsets[contact.a]
    ties[2 * i] = isStart ? offsets[contact.a]! : offsets[contact.a + 1]! - 1
  })
  return { place, offsets, ties }
}

/** Collects pieces path by path. */
class PieceWriter {
  readonly #paths: LinePaths
  readonly #node: Uint32Array
  readonly #least: number
  readonly #path: number[] = []
  readonly #from: number[] = []
  readonly #to: number[] = []
  readonly #length: number[] = []
  readonly #offsets: number[] = [0]
  #coords: Float64Array
  #used = 0
  dropped = 0

  constructor(paths: LinePaths, node: Uint32Array, least: number) {
    this.#paths = paths
    this.#node = node
    this.#least = least
    this.#coords = new Float64Array(paths.coords.length + 4 * (node.length - 2 * paths.pathCount) + 16)
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
      if (isShort && !this.#extendLast(path, place[stop]!, stop, at)) {
        this.dropped++
        continue
      }
      if (!isShort) this.#push(path, start, stop, length)
      start = stop
    }
  }

  /** Lengthens the piece before by a short last stretch of its path; false where the path has none yet. */
  #extendLast(path: number, lastPlace: number, stop: number, at: number): boolean {
    this.#used = at
    const last = this.#path.length - 1
    if (last < 0 || this.#path[last] !== path) return false
    for (let i = Math.floor(this.#lastPlace) + 1; i <= lastPlace; i++) this.#copyVertex(i)
    this.#to[last] = this.#node[stop]!
    this.#offsets[last + 1] = this.#used / 2
    this.#length[last] = measurePathLength(this.#coords.subarray(2 * this.#offsets[last]!, this.#used))
    return true
  }

  #lastPlace = 0

  #push(path: number, start: number, stop: number, length: number): void {
    this.#path.push(path)
    this.#from.push(this.#node[start]!)
    this.#to.push(this.#node[stop]!)
    this.#length.push(length)
    this.#offsets.push(this.#used / 2)
    this.#lastPlace = this.#writtenTo
  }

  #writtenTo = 0

  /** Writes the vertices between two places and gives their length. */
  #write(from: number, to: number): number {
    const begin = this.#used
    this.#addPosition(from)
    for (let vertex = Math.floor(from) + 1; vertex < to; vertex++) this.#copyVertex(vertex)
    this.#addPosition(to)
    this.#writtenTo = to
    return measurePathLength(this.#coords.subarray(begin, this.#used))
  }

  #copyVertex(vertex: number): void {
    this.#add(this.#paths.coords[2 * vertex]!, this.#paths.coords[2 * vertex + 1]!)
  }

  #addPosition(place: number): void {
    const [x, y] = positionOnPath(this.#paths.coords, place)
    this.#add(x, y)
  }

  #add(x: number, y: number): void {
    if (this.#used + 2 > this.#coords.length) {
      const wider = new Float64Array(2 * this.#coords.length)
      wider.set(this.#coords)
      this.#coords = wider
    }
    this.#coords[this.#used++] = x
    this.#coords[this.#used++] = y
  }

  finish(): Omit<ReachPieces, 'nodeCount' | 'nodePosition'> {
    return {
      count: this.#path.length,
      path: Uint32Array.from(this.#path),
      from: Uint32Array.from(this.#from),
      to: Uint32Array.from(this.#to),
      length: Float64Array.from(this.#length),
      coords: this.#coords.slice(0, this.#used),
      vertexOffsets: Uint32Array.from(this.#offsets),
    }
  }
}
