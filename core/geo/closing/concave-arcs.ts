import { CircleGrid } from './circle-grid.ts'
import { withRoom } from './circles.ts'
import { type ExposedArcs, turn } from './exposed-arcs.ts'

/** Angle by which rounding may push the end of a cover past a joint, which lies on the boundary by construction. */
const JOINT_SLACK = 1e-4

/**
 * The vertices of a grown boundary and what of the arcs about them bounds the closing. Vertex v stands where arc `arc[v]`
 * meets `follower[v]`; its arc of radius `half` runs clockwise by `sweep` from `start`, from the direction of the one
 * arc's centre to that of the next one's. Pieces of a vertex stand together (`firstPiece`), in clockwise order; `from` and
 * `into` are the vertices whose discs a piece leaves and enters, -1 at a joint. Columns keep their memory from set to set.
 */
export class ConcaveArcs {
  vertices = 0
  x = new Float64Array(64)
  y = new Float64Array(64)
  start = new Float64Array(64)
  sweep = new Float64Array(64)
  arc = new Int32Array(64)
  follower = new Int32Array(64)
  pieces = 0
  firstPiece = new Int32Array(65)
  vertex = new Int32Array(64)
  from = new Int32Array(64)
  into = new Int32Array(64)
  begin = new Float64Array(64)
  end = new Float64Array(64)
  readonly #grid = new CircleGrid()
  #radii = new Float64Array(64)
  #coverStart = new Float64Array(16)
  #coverEnd = new Float64Array(16)
  #coverBy = new Int32Array(16)
  #covers = 0

  clear(): void {
    this.vertices = 0
  }

  /** Adds the vertex at the end of arc k, which leads to `follower`, at (x, y). False where rounding has turned it inside out. */
  addVertex(arcs: ExposedArcs, k: number, x: number, y: number): boolean {
    const follower = arcs.next[k]!
    const start = arcs.end[k]! + Math.PI
    const sweep = turn(start - (arcs.start[follower]! + Math.PI))
    // Both centres are seen from the vertex within half a turn, the second clockwise of the first.
    if (sweep > Math.PI + 1e-6) return false
    const v = this.vertices++
    if (v === this.x.length) {
      this.x = withRoom(this.x, v + 1)
      this.y = withRoom(this.y, v + 1)
      this.start = withRoom(this.start, v + 1)
      this.sweep = withRoom(this.sweep, v + 1)
      this.arc = withRoom(this.arc, v + 1)
      this.follower = withRoom(this.follower, v + 1)
    }
    this.x[v] = x
    this.y[v] = y
    this.start[v] = turn(start)
    this.sweep[v] = sweep
    this.arc[v] = k
    this.follower[v] = follower
    return true
  }

  /**
   * What remains of the arcs of radius `half` about the vertices once the discs of the other vertices are taken away.
   * False when rounding leaves a joint inside another disc.
   */
  trim(half: number): boolean {
    this.pieces = 0
    this.firstPiece = withRoom(this.firstPiece, this.vertices + 1)
    this.#radii = withRoom(this.#radii, this.vertices).fill(half, 0, this.vertices)
    this.#grid.fill({ x: this.x, y: this.y, r: this.#radii }, this.vertices)
    for (let v = 0; v < this.vertices; v++) {
      this.firstPiece[v] = this.pieces
      if (!this.#findCovers(v, half)) return false
      this.#pushPieces(v)
    }
    this.firstPiece[this.vertices] = this.pieces
    return true
  }

  /** The piece of a vertex that leaves the disc of vertex `from`; -1 for none. */
  findPiece(vertex: number, from: number): number {
    for (let p = this.firstPiece[vertex]!; p < this.firstPiece[vertex + 1]!; p++) if (this.from[p] === from) return p
    return -1
  }

  #findCovers(v: number, half: number): boolean {
    this.#covers = 0
    const total = this.#grid.collect(v)
    for (let k = 0; k < total; k++) {
      const w = this.#grid.found[k]!
      const dx = this.x[w]! - this.x[v]!
      const dy = this.y[w]! - this.y[v]!
      const distance = Math.sqrt(dx * dx + dy * dy)
      if (distance >= 2 * half) continue
      const width = Math.acos(distance / (2 * half))
      const middle = turn(this.start[v]! - Math.atan2(dy, dx))
      if (!this.#addCover(v, middle - width, middle + width, w)) return false
      const before = middle - 2 * Math.PI
      if (!this.#addCover(v, before - width, before + width, w)) return false
    }
    return true
  }

  /**
   * Inserts a cover in order of starts. Both joints bound the closing, so a cover that reaches over one does so by
   * rounding: its nearer end moves onto the joint.
   */
  #addCover(v: number, start: number, end: number, by: number): boolean {
    const sweep = this.sweep[v]!
    if (end <= 0 || start >= sweep) return true
    let [low, high] = [start, end]
    if (low < 0) {
      if (Math.min(-low, high) > JOINT_SLACK) return false
      if (-low >= high) return true
      low = 0
    }
    if (high > sweep) {
      if (Math.min(high - sweep, sweep - low) > JOINT_SLACK) return false
      if (high - sweep >= sweep - low) return true
      high = sweep
    }
    if (!(high > low)) return true
    const count = this.#covers++
    if (count === this.#coverBy.length) {
      this.#coverStart = withRoom(this.#coverStart, count + 1)
      this.#coverEnd = withRoom(this.#coverEnd, count + 1)
      this.#coverBy = withRoom(this.#coverBy, count + 1)
    }
    let at = count
    for (; at > 0 && this.#coverStart[at - 1]! > low; at--) {
      this.#coverStart[at] = this.#coverStart[at - 1]!
      this.#coverEnd[at] = this.#coverEnd[at - 1]!
      this.#coverBy[at] = this.#coverBy[at - 1]!
    }
    this.#coverStart[at] = low
    this.#coverEnd[at] = high
    this.#coverBy[at] = by
    return true
  }

  #pushPieces(vertex: number): void {
    let [reach, from] = [0, -1]
    for (let k = 0; k < this.#covers; k++) {
      const start = this.#coverStart[k]!
      if (start > reach || k === 0) this.#pushPiece(vertex, from, this.#coverBy[k]!, reach, start)
      if (this.#coverEnd[k]! > reach) [reach, from] = [this.#coverEnd[k]!, this.#coverBy[k]!]
    }
    this.#pushPiece(vertex, from, -1, reach, Math.max(reach, this.sweep[vertex]!))
  }

  #pushPiece(vertex: number, from: number, into: number, begin: number, end: number): void {
    const p = this.pieces++
    if (p === this.vertex.length) {
      this.vertex = withRoom(this.vertex, p + 1)
      this.from = withRoom(this.from, p + 1)
      this.into = withRoom(this.into, p + 1)
      this.begin = withRoom(this.begin, p + 1)
      this.end = withRoom(this.end, p + 1)
    }
    this.vertex[p] = vertex
    this.from[p] = from
    this.into[p] = into
    this.begin[p] = begin
    this.end[p] = end
  }
}
