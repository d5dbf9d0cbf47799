import { ArcLoops } from './arc-loops.ts'
import { CircleGrid } from './circle-grid.ts'
import { CircleColumns, type Circles, clearedFlags, withRoom } from './circles.ts'
import { NARROW_VOID } from './closing-engine.ts'
import { ConcaveArcs } from './concave-arcs.ts'
import { ExposedArcs } from './exposed-arcs.ts'
import { CircleGrower, JITTERS } from './jitter.ts'

/** Loops smaller than this are what jitter leaves of a point, square metres. */
const LEAST_AREA = 1e-6

/**
 * The boundary of the closing of discs as exact arcs: the exposed arcs of the grown circles, shrunk, joined by concave arcs
 * about the vertices of the grown boundary. One object serves many sets and keeps its memory.
 * Source: boundary of a union of discs by angular sweep; morphological closing, Serra (1982), Image Analysis and
 * Mathematical Morphology, chapter II.
 */
export class ClosingArcs {
  /** The result of `trace`: outer loops counter-clockwise, holes clockwise, about `centre`. */
  readonly loops = new ArcLoops()
  centre: readonly [number, number] = [0, 0]
  readonly #grower = new CircleGrower()
  readonly #grown = new CircleColumns()
  readonly #grid = new CircleGrid()
  readonly #arcs = new ExposedArcs()
  readonly #concave = new ConcaveArcs()
  readonly #boundary = new ArcLoops()
  #isSeen = new Uint8Array(64)
  #isKept = new Uint8Array(64)
  #next = new Int32Array(64)

  /** Traces the closing by `half` (0: the union) into `loops`; false when no jitter closes every link. */
  trace(discs: Circles, half: number): boolean {
    this.centre = centreOf(discs)
    if (discs.r.length === 1) return this.#traceOne(discs)
    for (const salt of JITTERS.keys()) {
      this.#grower.grow(discs, { half, centre: this.centre, salt }, this.#grown)
      this.#grid.fill(this.#grown, this.#grown.count)
      this.#arcs.expose(this.#grown, this.#grown.count, this.#grid)
      if (!this.#arcs.link()) continue
      this.#traceBoundary(half === 0 ? this.loops : this.#boundary)
      if (half === 0 || this.#traceClosing(half)) return true
    }
    return false
  }

  /** A disc alone is its own closing. */
  #traceOne({ x, y, r }: Circles): boolean {
    const { loops, centre } = this
    loops.clear()
    const at = loops.open(1)
    loops.x[at] = x[0]! - centre[0]
    loops.y[at] = y[0]! - centre[1]
    loops.r[at] = r[0]!
    loops.ax[at] = 1
    loops.ay[at] = 0
    loops.bx[at] = 1
    loops.by[at] = 0
    loops.sweep[at] = 2 * Math.PI
    loops.close(1)
    if (r[0] === 0) loops.dropLast()
    return true
  }

  /** Writes the loops of the grown boundary without narrow voids; `isKept` tells of each arc whether its loop was kept. */
  #traceBoundary(loops: ArcLoops): void {
    const [arcs, grown] = [this.#arcs, this.#grown]
    loops.clear()
    const isSeen = clearedFlags(this.#isSeen, arcs.count)
    const isKept = clearedFlags(this.#isKept, arcs.count)
    this.#isSeen = isSeen
    this.#isKept = isKept
    for (let head = 0; head < arcs.count; head++) {
      if (isSeen[head] === 1) continue
      let length = 0
      for (let k = head; isSeen[k] === 0; k = arcs.next[k]!) {
        isSeen[k] = 1
        const at = loops.open(length + 1) + length
        const circle = arcs.circle[k]!
        loops.x[at] = grown.x[circle]!
        loops.y[at] = grown.y[circle]!
        loops.r[at] = grown.r[circle]!
        loops.ax[at] = arcs.ax[k]!
        loops.ay[at] = arcs.ay[k]!
        loops.bx[at] = arcs.bx[k]!
        loops.by[at] = arcs.by[k]!
        loops.sweep[at] = arcs.sweep[k]!
        length++
      }
      loops.close(length)
      if (isNarrowVoid(loops)) loops.dropLast()
      else for (let k = head, n = 0; n < length; k = arcs.next[k]!, n++) isKept[k] = 1
    }
  }

  #traceClosing(half: number): boolean {
    const [arcs, concave, grown, isKept] = [this.#arcs, this.#concave, this.#grown, this.#isKept]
    concave.clear()
    for (let k = 0; k < arcs.count; k++) {
      if (isKept[k] === 0 || arcs.into[k]! < 0) continue
      const circle = arcs.circle[k]!
      const x = grown.x[circle]! + grown.r[circle]! * arcs.bx[k]!
      const y = grown.y[circle]! + grown.r[circle]! * arcs.by[k]!
      if (!concave.addVertex(arcs, k, x, y)) return false
    }
    if (!concave.trim(half)) return false
    if (!this.#linkClosing()) return false
    this.#writeClosing(half)
    return true
  }

  /** Sets the follower of each convex arc and, after them, of each concave piece; -1 for arcs of filled voids. False if one lacks. */
  #linkClosing(): boolean {
    const [arcs, concave, isKept] = [this.#arcs, this.#concave, this.#isKept]
    const convex = arcs.count
    const total = convex + concave.pieces
    const next = withRoom(this.#next, total).fill(-1, 0, total)
    this.#next = next
    for (let k = 0; k < convex; k++) if (isKept[k] === 1 && arcs.into[k]! < 0) next[k] = k
    for (let v = 0; v < concave.vertices; v++) next[concave.arc[v]!] = convex + concave.firstPiece[v]!
    const isTaken = clearedFlags(this.#isSeen, total)
    this.#isSeen = isTaken
    for (let p = 0; p < concave.pieces; p++) {
      const [vertex, into] = [concave.vertex[p]!, concave.into[p]!]
      const piece = into < 0 ? -1 : concave.findPiece(into, vertex)
      const follower = into < 0 ? concave.follower[vertex]! : piece < 0 ? -1 : convex + piece
      if (follower < 0 || isTaken[follower] === 1) return false
      isTaken[follower] = 1
      next[convex + p] = follower
    }
    return true
  }

  #writeClosing(half: number): void {
    const [loops, next] = [this.loops, this.#next]
    const total = this.#arcs.count + this.#concave.pieces
    loops.clear()
    const isSeen = clearedFlags(this.#isSeen, total)
    for (let head = 0; head < total; head++) {
      if (isSeen[head] === 1 || next[head] === -1) continue
      let length = 0
      for (let node = head; isSeen[node] === 0; node = next[node]!) {
        isSeen[node] = 1
        this.#writeNode(loops.open(length + 1) + length, node, half)
        length++
      }
      loops.close(length)
      if (Math.abs(loops.area[loops.count - 1]!) <= LEAST_AREA) loops.dropLast()
    }
  }

  #writeNode(at: number, node: number, half: number): void {
    const [loops, arcs, concave, grown] = [this.loops, this.#arcs, this.#concave, this.#grown]
    if (node < arcs.count) {
      const circle = arcs.circle[node]!
      loops.x[at] = grown.x[circle]!
      loops.y[at] = grown.y[circle]!
      loops.r[at] = grown.r[circle]! - half
      loops.ax[at] = arcs.ax[node]!
      loops.ay[at] = arcs.ay[node]!
      loops.bx[at] = arcs.bx[node]!
      loops.by[at] = arcs.by[node]!
      loops.sweep[at] = arcs.sweep[node]!
      return
    }
    const piece = node - arcs.count
    const vertex = concave.vertex[piece]!
    loops.x[at] = concave.x[vertex]!
    loops.y[at] = concave.y[vertex]!
    loops.r[at] = half
    loops.ax[at] = concave.ax[piece]!
    loops.ay[at] = concave.ay[piece]!
    loops.bx[at] = concave.bx[piece]!
    loops.by[at] = concave.by[piece]!
    loops.sweep[at] = -concave.sweep[piece]!
  }
}

/** Whether the last loop is a void narrower than NARROW_VOID. Its width is judged by 4 area / length, twice the inradius of a thin triangle. */
function isNarrowVoid(loops: ArcLoops): boolean {
  const last = loops.count - 1
  const area = loops.area[last]!
  return area <= 0 && (-4 * area) / loops.length(last) < NARROW_VOID
}

function centreOf({ x, y }: Circles): [number, number] {
  const middle = (values: Float64Array) => {
    let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
    for (let i = 0; i < values.length; i++) {
      low = Math.min(low, values[i]!)
      high = Math.max(high, values[i]!)
    }
    return values.length === 0 ? 0 : Math.round((low + high) / 2)
  }
  return [middle(x), middle(y)]
}
