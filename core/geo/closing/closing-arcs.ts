import { ArcLoops } from './arc-loops.ts'
import { CircleGrid } from './circle-grid.ts'
import type { Circles } from './circles.ts'
import { NARROW_VOID } from './closing-engine.ts'
import { ConcaveArcs } from './concave-arcs.ts'
import { ExposedArcs } from './exposed-arcs.ts'
import { jitterShares } from './jitter.ts'

/** Outward jitter of radii, metres, an attempt: keeps circles through one point apart. Set by trial on perfect lattices. */
const JITTERS = [1e-7, 3e-7, 9e-7, 9e-7]
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
  readonly #grid = new CircleGrid()
  readonly #arcs = new ExposedArcs()
  readonly #concave = new ConcaveArcs()
  readonly #boundary = new ArcLoops()

  /** Traces the closing by `half` (0: the union) into `loops`; false when no jitter closes every link. */
  trace(discs: Circles, half: number): boolean {
    this.centre = centreOf(discs)
    for (const salt of JITTERS.keys()) {
      const grown = growCircles(discs, { half, centre: this.centre, salt })
      this.#grid.fill(grown)
      this.#arcs.expose(grown, this.#grid)
      if (!this.#arcs.link()) continue
      const kept = this.#traceBoundary(grown, half === 0 ? this.loops : this.#boundary)
      if (half === 0 || this.#traceClosing(grown, kept, half)) return true
    }
    return false
  }

  /** Writes the loops of the grown boundary without narrow voids; returns, by arc, whether its loop was kept. */
  #traceBoundary(grown: Circles, loops: ArcLoops): Uint8Array {
    const arcs = this.#arcs
    loops.clear()
    const isSeen = new Uint8Array(arcs.count)
    const isKept = new Uint8Array(arcs.count)
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
        loops.start[at] = arcs.start[k]!
        loops.sweep[at] = arcs.end[k]! - arcs.start[k]!
        length++
      }
      loops.close(length)
      if (isNarrowVoid(loops)) loops.dropLast()
      else for (let k = head, n = 0; n < length; k = arcs.next[k]!, n++) isKept[k] = 1
    }
    return isKept
  }

  #traceClosing(grown: Circles, isKept: Uint8Array, half: number): boolean {
    const [arcs, concave] = [this.#arcs, this.#concave]
    concave.clear()
    for (let k = 0; k < arcs.count; k++) {
      if (isKept[k] === 0 || arcs.into[k]! < 0) continue
      const circle = arcs.circle[k]!
      const x = grown.x[circle]! + grown.r[circle]! * Math.cos(arcs.end[k]!)
      const y = grown.y[circle]! + grown.r[circle]! * Math.sin(arcs.end[k]!)
      if (!concave.addVertex(arcs, k, x, y)) return false
    }
    if (!concave.trim(half)) return false
    const next = this.#linkClosing(isKept)
    if (next === null) return false
    this.#writeClosing(grown, next, half)
    return true
  }

  /** The follower of each convex arc and, after them, of each concave piece; -1 for arcs of filled voids; null if one lacks. */
  #linkClosing(isKept: Uint8Array): Int32Array | null {
    const [arcs, concave] = [this.#arcs, this.#concave]
    const convex = arcs.count
    const next = new Int32Array(convex + concave.pieces).fill(-1)
    for (let k = 0; k < convex; k++) if (isKept[k] === 1 && arcs.into[k]! < 0) next[k] = k
    for (let v = 0; v < concave.vertices; v++) next[concave.arc[v]!] = convex + concave.firstPiece[v]!
    const isTaken = new Uint8Array(convex + concave.pieces)
    for (let p = 0; p < concave.pieces; p++) {
      const [vertex, into] = [concave.vertex[p]!, concave.into[p]!]
      const piece = into < 0 ? -1 : concave.findPiece(into, vertex)
      const follower = into < 0 ? concave.follower[vertex]! : piece < 0 ? -1 : convex + piece
      if (follower < 0 || isTaken[follower] === 1) return null
      isTaken[follower] = 1
      next[convex + p] = follower
    }
    return next
  }

  #writeClosing(grown: Circles, next: Int32Array, half: number): void {
    const { loops } = this
    loops.clear()
    const isSeen = new Uint8Array(next.length)
    for (let head = 0; head < next.length; head++) {
      if (isSeen[head] === 1 || next[head] === -1) continue
      let length = 0
      for (let node = head; isSeen[node] === 0; node = next[node]!) {
        isSeen[node] = 1
        this.#writeNode(loops.open(length + 1) + length, node, grown, half)
        length++
      }
      loops.close(length)
      if (Math.abs(loops.area(loops.count - 1)) <= LEAST_AREA) loops.dropLast()
    }
  }

  #writeNode(at: number, node: number, grown: Circles, half: number): void {
    const [loops, arcs, concave] = [this.loops, this.#arcs, this.#concave]
    if (node < arcs.count) {
      const circle = arcs.circle[node]!
      loops.x[at] = grown.x[circle]!
      loops.y[at] = grown.y[circle]!
      loops.r[at] = grown.r[circle]! - half
      loops.start[at] = arcs.start[node]!
      loops.sweep[at] = arcs.end[node]! - arcs.start[node]!
      return
    }
    const piece = node - arcs.count
    const vertex = concave.vertex[piece]!
    loops.x[at] = concave.x[vertex]!
    loops.y[at] = concave.y[vertex]!
    loops.r[at] = half
    loops.start[at] = concave.start[vertex]! - concave.begin[piece]!
    loops.sweep[at] = concave.begin[piece]! - concave.end[piece]!
  }
}

/** Whether the last loop is a void narrower than NARROW_VOID. Its width is judged by 4 area / length, twice the inradius of a thin triangle. */
function isNarrowVoid(loops: ArcLoops): boolean {
  const last = loops.count - 1
  const area = loops.area(last)
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

interface Growth {
  readonly half: number
  readonly centre: readonly [number, number]
  readonly salt: number
}

/** Circles about `centre`, grown, each by its own trace of jitter outward (touching discs stay touching). */
function growCircles(discs: Circles, { half, centre, salt }: Growth): Circles {
  const count = discs.r.length
  const shares = jitterShares(discs, salt)
  const [x, y, r] = [new Float64Array(count), new Float64Array(count), new Float64Array(count)]
  for (let i = 0; i < count; i++) {
    x[i] = discs.x[i]! - centre[0]
    y[i] = discs.y[i]! - centre[1]
    r[i] = discs.r[i]! + half + JITTERS[salt]! * shares[i]!
  }
  return { x, y, r }
}
