import { type Arc, drawLoop, loopArea, loopLength, traceLoops } from './arc-loop.ts'
import { type CircleArcs, exposeArcs, linkArcs, turn } from './circle-arcs.ts'
import type { Circles } from './circle-grid.ts'
import { type Closing, type ClosingEngine, NARROW_VOID } from './closing-engine.ts'
import { type BoundaryVertex, type ConcavePiece, trimConcaveArcs } from './concave-arcs.ts'
import { partsOfLoops } from './loop-parts.ts'

/** Outward jitter of radii, metres, an attempt: keeps circles through one point apart. Set by trial on perfect lattices. */
const JITTERS = [1e-7, 3e-7, 9e-7, 9e-7]

/**
 * The closing from exact arcs: the exposed arcs of the grown circles, shrunk, joined by concave arcs about the vertices.
 * Where rounding leaves a link unpaired, the discs are tried with other jitter, then handed to `fallback`;
 * `onFallback` hears of it.
 * Accuracy and cost: areas to about 1e-7; near n log n.
 * Source: boundary of a union of discs by angular sweep; morphological closing, Serra (1982), Image Analysis and
 * Mathematical Morphology, chapter II.
 */
export function createArcsClosing(fallback: ClosingEngine, onFallback: (discs: number) => void): ClosingEngine {
  return {
    close(discs, { half, minimumHole }) {
      const centre = centreOf(discs)
      const loops = closingLoops(discs, half, centre)
      if (loops === null) {
        onFallback(discs.r.length)
        return fallback.close(discs, { half, minimumHole })
      }
      return drawClosing(loops, discs, { centre, minimumHole })
    },
    closedArea(discs, half) {
      const loops = closingLoops(discs, half, centreOf(discs))
      if (loops === null) return fallback.closedArea(discs, half)
      return loops.reduce((sum, loop) => sum + loopArea(loop), 0)
    },
  }
}

/** Loops of the closing about `centre`: outer ones counter-clockwise, holes clockwise; null when no attempt closes. */
export function closingLoops(discs: Circles, half: number, centre: readonly [number, number]): Arc[][] | null {
  for (const salt of JITTERS.keys()) {
    const grown = growCircles(discs, { half, centre, salt })
    const arcs = exposeArcs(grown)
    const next = linkArcs(arcs)
    if (next === null) continue
    const loops = traceLoops(next)
    const arcOf = (k: number): Arc => ({
      x: grown.x[arcs.circle[k]!]!,
      y: grown.y[arcs.circle[k]!]!,
      r: grown.r[arcs.circle[k]!]!,
      start: arcs.start[k]!,
      sweep: arcs.end[k]! - arcs.start[k]!,
    })
    const kept = loops.filter(loop => !isNarrowVoid(loop.map(arcOf)))
    if (half === 0) return kept.map(loop => loop.map(arcOf))
    const closed = shrinkLoops({ grown, arcs, next, kept, half })
    if (closed !== null) return closed
  }
  return null
}

function centreOf({ x, y }: Circles): [number, number] {
  const middle = (values: Float64Array) => {
    let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
    for (const value of values) [low, high] = [Math.min(low, value), Math.max(high, value)]
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
  const shares = hashShares(discs, salt)
  return {
    x: discs.x.map(value => value - centre[0]),
    y: discs.y.map(value => value - centre[1]),
    r: discs.r.map((value, i) => value + half + JITTERS[salt]! * shares[i]!),
  }
}

/** Shares in [0, 1) hashed from the bits of the discs, so that their order never matters. */
function hashShares({ x, y, r }: Circles, salt: number): Float64Array {
  const disc = new Float64Array(3)
  const bits = new Uint32Array(disc.buffer)
  return r.map((radius, i) => {
    disc[0] = x[i]!
    disc[1] = y[i]!
    disc[2] = radius
    let hash = (0x811c9dc5 ^ salt) | 0
    for (let word = 0; word < 6; word++) {
      hash = Math.imul(hash ^ bits[word]!, 0x85ebca6b)
      hash ^= hash >>> 15
      hash = Math.imul(hash, 0xc2b2ae35)
      hash ^= hash >>> 13
    }
    return (hash >>> 0) / 2 ** 32
  })
}

/** A void narrower than NARROW_VOID. Its width is judged by 4 area / length, twice the inradius of a thin triangle. */
function isNarrowVoid(loop: readonly Arc[]): boolean {
  const area = loopArea(loop)
  return area <= 0 && (-4 * area) / loopLength(loop) < NARROW_VOID
}

interface GrownBoundary {
  readonly grown: Circles
  readonly arcs: CircleArcs
  readonly next: Int32Array
  readonly kept: readonly (readonly number[])[]
  readonly half: number
}

function shrinkLoops({ grown, arcs, next, kept, half }: GrownBoundary): Arc[][] | null {
  const live = kept.flat()
  const vertices = boundaryVertices(grown, arcs, next, live)
  if (vertices === null) return null
  const pieces = trimConcaveArcs(vertices, half)
  if (pieces === null) return null
  const followers = linkClosing({ arcs, live, vertices, pieces })
  if (followers === null) return null
  const nodeArc = (node: number): Arc => {
    if (node < arcs.circle.length) {
      const circle = arcs.circle[node]!
      const sweep = arcs.end[node]! - arcs.start[node]!
      return { x: grown.x[circle]!, y: grown.y[circle]!, r: grown.r[circle]! - half, start: arcs.start[node]!, sweep }
    }
    const piece = pieces[node - arcs.circle.length]!
    const vertex = vertices[piece.vertex]!
    return { x: vertex.x, y: vertex.y, r: half, start: vertex.start - piece.start, sweep: piece.start - piece.end }
  }
  const isLive = (node: number) => followers[node] !== -1
  return traceLoops(followers, isLive)
    .map(loop => loop.map(nodeArc))
    .filter(loop => Math.abs(loopArea(loop)) > LEAST_AREA)
}

/** Loops smaller than this are what jitter leaves of a point, square metres. */
const LEAST_AREA = 1e-6

function boundaryVertices(
  grown: Circles,
  arcs: CircleArcs,
  next: Int32Array,
  live: readonly number[],
): BoundaryVertex[] | null {
  const vertices: BoundaryVertex[] = []
  for (const k of live) {
    if (arcs.into[k]! < 0) continue
    const follower = next[k]!
    const circle = arcs.circle[k]!
    const start = arcs.end[k]! + Math.PI
    const sweep = turn(start - (arcs.start[follower]! + Math.PI))
    // Both centres are seen from the vertex within half a turn, the second clockwise of the first.
    if (sweep > Math.PI + 1e-6) return null
    vertices.push({
      x: grown.x[circle]! + grown.r[circle]! * Math.cos(arcs.end[k]!),
      y: grown.y[circle]! + grown.r[circle]! * Math.sin(arcs.end[k]!),
      start: turn(start),
      sweep,
      arc: k,
      next: follower,
    })
  }
  return vertices
}

interface ClosingNodes {
  readonly arcs: CircleArcs
  readonly live: readonly number[]
  readonly vertices: readonly BoundaryVertex[]
  readonly pieces: readonly ConcavePiece[]
}

/** The follower of each convex arc and, after them, of each concave piece; -1 for arcs of filled voids; null if one lacks. */
function linkClosing({ arcs, live, vertices, pieces }: ClosingNodes): Int32Array | null {
  const convex = arcs.circle.length
  const next = new Int32Array(convex + pieces.length).fill(-1)
  const firstPiece = new Uint32Array(vertices.length + 1).fill(pieces.length)
  for (let p = pieces.length - 1; p >= 0; p--) firstPiece[pieces[p]!.vertex] = p
  for (const k of live) if (arcs.into[k]! < 0) next[k] = k
  for (const [v, vertex] of vertices.entries()) next[vertex.arc] = convex + firstPiece[v]!
  const isTaken = new Uint8Array(convex + pieces.length)
  for (const [p, piece] of pieces.entries()) {
    const follower =
      piece.into < 0 ? vertices[piece.vertex]!.next : findPiece(pieces, firstPiece, piece.into, piece.vertex, convex)
    if (follower < 0 || isTaken[follower] === 1) return null
    isTaken[follower] = 1
    next[convex + p] = follower
  }
  return next
}

function findPiece(
  pieces: readonly ConcavePiece[],
  firstPiece: Uint32Array,
  vertex: number,
  from: number,
  convex: number,
): number {
  for (let p = firstPiece[vertex]!; p < pieces.length && pieces[p]!.vertex === vertex; p++) {
    if (pieces[p]!.from === from) return convex + p
  }
  return -1
}

interface Drawing {
  readonly centre: readonly [number, number]
  readonly minimumHole: number
}

function drawClosing(loops: readonly Arc[][], discs: Circles, { centre, minimumHole }: Drawing): Closing {
  const rings = loops.map(loop => ({
    ring: drawLoop(loop, centre[0], centre[1]),
    area: loopArea(loop),
    holdsDisc: loop.some(arc => arc.sweep > 0),
  }))
  return partsOfLoops(
    rings.filter(({ area }) => area > 0 || -area >= minimumHole),
    discs,
  )
}
