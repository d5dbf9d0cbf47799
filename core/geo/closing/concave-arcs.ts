import { CircleGaps, JOINT } from './circle-gaps.ts'
import { CircleGrid } from './circle-grid.ts'
import { withRoom } from './circles.ts'
import { type ExposedArcs, sweepBetween } from './exposed-arcs.ts'

/** By how much rounding may turn the directions to two centres past half a turn or past each other. */
const TURN_SLACK = 1e-6

/**
 * The vertices of a grown boundary and what of the arcs about them bounds the closing. Vertex v stands where arc `arc[v]`
 * meets `follower[v]`; its arc of radius `half` runs clockwise from the direction (sx, sy) of the one arc's centre to
 * (ex, ey), that of the next one's. Pieces of a vertex stand together from `firstPiece`, which leaves the joint; a piece
 * runs clockwise by `sweep` from (ax, ay) to (bx, by); `from` and `into` are the vertices whose discs it leaves and enters,
 * -1 at a joint. Columns keep their memory from set to set.
 */
export class ConcaveArcs {
  vertices = 0
  x = new Float64Array(64)
  y = new Float64Array(64)
  sx = new Float64Array(64)
  sy = new Float64Array(64)
  ex = new Float64Array(64)
  ey = new Float64Array(64)
  arc = new Int32Array(64)
  follower = new Int32Array(64)
  pieces = 0
  firstPiece = new Int32Array(65)
  vertex = new Int32Array(64)
  from = new Int32Array(64)
  into = new Int32Array(64)
  ax = new Float64Array(64)
  ay = new Float64Array(64)
  bx = new Float64Array(64)
  by = new Float64Array(64)
  sweep = new Float64Array(64)
  readonly #grid = new CircleGrid()
  readonly #gaps = new CircleGaps()
  #radii = new Float64Array(64)

  clear(): void {
    this.vertices = 0
  }

  /** Adds the vertex at the end of arc k at (x, y). False where rounding has turned it inside out. */
  addVertex(arcs: ExposedArcs, k: number, x: number, y: number): boolean {
    const follower = arcs.next[k]!
    const sx = -arcs.bx[k]!
    const sy = -arcs.by[k]!
    const ex = -arcs.ax[follower]!
    const ey = -arcs.ay[follower]!
    // Both centres are seen from the vertex within half a turn, the second clockwise of the first.
    const cross = ex * sy - ey * sx
    if (cross < 0 && (cross < -TURN_SLACK || ex * sx + ey * sy > 0)) return false
    const v = this.vertices++
    if (v === this.x.length) {
      this.x = withRoom(this.x, v + 1)
      this.y = withRoom(this.y, v + 1)
      this.sx = withRoom(this.sx, v + 1)
      this.sy = withRoom(this.sy, v + 1)
      this.ex = withRoom(this.ex, v + 1)
      this.ey = withRoom(this.ey, v + 1)
      this.arc = withRoom(this.arc, v + 1)
      this.follower = withRoom(this.follower, v + 1)
    }
    this.x[v] = x
    this.y[v] = y
    this.sx[v] = sx
    this.sy[v] = sy
    this.ex[v] = ex
    this.ey[v] = ey
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
      if (!this.#narrow(v, half)) return false
      if (!this.#pushPieces(v)) return false
    }
    this.firstPiece[this.vertices] = this.pieces
    return true
  }

  /** The piece of a vertex that leaves the disc of vertex `from`; -1 for none. */
  findPiece(vertex: number, from: number): number {
    for (let p = this.firstPiece[vertex]!; p < this.firstPiece[vertex + 1]!; p++) if (this.from[p] === from) return p
    return -1
  }

  #narrow(v: number, half: number): boolean {
    const gaps = this.#gaps
    const x = this.x[v]!
    const y = this.y[v]!
    gaps.beginWith(this.ex[v]!, this.ey[v]!, this.sx[v]!, this.sy[v]!)
    gaps.findBounds()
    const total = this.#grid.collectAround(
      v,
      x + half * gaps.west,
      y + half * gaps.south,
      x + half * gaps.east,
      y + half * gaps.north,
    )
    const share = 0.5 / half
    for (let k = 0; k < total && !gaps.isBroken; k++) {
      const w = this.#grid.found[k]!
      const dx = this.x[w]! - x
      const dy = this.y[w]! - y
      const square = dx * dx + dy * dy
      const t = square * share
      if (gaps.mayPass(dx, dy, t)) continue
      const distance = Math.sqrt(square)
      if (t < distance) gaps.narrow(w, dx, dy, distance, t)
    }
    return !gaps.isBroken
  }

  /** Gaps run counter-clockwise and pieces clockwise, so their ends change places. False without a piece at a joint. */
  #pushPieces(vertex: number): boolean {
    const gaps = this.#gaps
    const first = this.pieces
    let atJoint = -1
    for (let g = 0; g < gaps.count; g++) {
      const p = this.#pushPiece(vertex)
      if (gaps.into[g] === JOINT) atJoint = p
      this.#setPiece(p, g)
    }
    if (atJoint < 0) return false
    this.firstPiece[vertex] = first
    if (atJoint > first) this.#swap(first, atJoint)
    return true
  }

  #setPiece(p: number, g: number): void {
    const gaps = this.#gaps
    this.ax[p] = gaps.bx[g]!
    this.ay[p] = gaps.by[g]!
    this.bx[p] = gaps.ax[g]!
    this.by[p] = gaps.ay[g]!
    this.sweep[p] = sweepBetween(gaps.ax[g]!, gaps.ay[g]!, gaps.bx[g]!, gaps.by[g]!)
    this.from[p] = gaps.into[g]!
    this.into[p] = gaps.from[g]!
  }

  #swap(p: number, q: number): void {
    for (const column of [this.ax, this.ay, this.bx, this.by, this.sweep, this.from, this.into]) {
      const value = column[p]!
      column[p] = column[q]!
      column[q] = value
    }
  }

  #pushPiece(vertex: number): number {
    const p = this.pieces++
    if (p === this.vertex.length) {
      this.vertex = withRoom(this.vertex, p + 1)
      this.from = withRoom(this.from, p + 1)
      this.into = withRoom(this.into, p + 1)
      this.ax = withRoom(this.ax, p + 1)
      this.ay = withRoom(this.ay, p + 1)
      this.bx = withRoom(this.bx, p + 1)
      this.by = withRoom(this.by, p + 1)
      this.sweep = withRoom(this.sweep, p + 1)
    }
    this.vertex[p] = vertex
    return p
  }
}
