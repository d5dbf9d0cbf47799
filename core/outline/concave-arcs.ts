import { turn } from './circle-arcs.ts'
import { buildCircleGrid, type Circles } from './circle-grid.ts'

/** A vertex of the grown boundary: where arc `arc` meets the next one. `start` and `sweep` (> 0) are of the arc of radius
 *  `half` about it, run clockwise from the direction of the arc's centre to that of the next one's. */
export interface BoundaryVertex {
  readonly x: number
  readonly y: number
  readonly start: number
  readonly sweep: number
  /** The arc that ends here and the one that begins here. */
  readonly arc: number
  readonly next: number
}

/** A stretch of a vertex's arc that bounds the closing; `from`, `into`: the vertex whose disc it leaves and enters, -1 at a joint. */
export interface ConcavePiece {
  readonly vertex: number
  readonly from: number
  readonly into: number
  readonly start: number
  readonly end: number
}

interface Cover {
  start: number
  end: number
  readonly by: number
}

/** Angle by which rounding may push the end of a cover past a joint, which lies on the boundary by construction. */
const JOINT_SLACK = 1e-4

/**
 * What remains of the arcs of radius `half` about the vertices once the discs of the other vertices are taken away,
 * a vertex's pieces together, in clockwise order. Null when rounding leaves a joint inside another disc.
 */
export function trimConcaveArcs(vertices: readonly BoundaryVertex[], half: number): ConcavePiece[] | null {
  const circles: Circles = {
    x: Float64Array.from(vertices, vertex => vertex.x),
    y: Float64Array.from(vertices, vertex => vertex.y),
    r: new Float64Array(vertices.length).fill(half),
  }
  const grid = buildCircleGrid(circles)
  const pieces: ConcavePiece[] = []
  for (let v = 0; v < vertices.length; v++) {
    const covers = coversOf(vertices, v, grid.neighbours(v), half)
    if (covers === null) return null
    pushPieces(v, vertices[v]!.sweep, covers, pieces)
  }
  return pieces
}

function coversOf(
  vertices: readonly BoundaryVertex[],
  v: number,
  neighbours: readonly number[],
  half: number,
): Cover[] | null {
  const own = vertices[v]!
  const covers: Cover[] = []
  for (const w of neighbours) {
    const [dx, dy] = [vertices[w]!.x - own.x, vertices[w]!.y - own.y]
    const distance = Math.hypot(dx, dy)
    if (distance >= 2 * half) continue
    const width = Math.acos(distance / (2 * half))
    const middle = turn(own.start - Math.atan2(dy, dx))
    for (const at of [middle, middle - 2 * Math.PI]) {
      if (at + width <= 0 || at - width >= own.sweep) continue
      const cover = clampToJoints({ start: at - width, end: at + width, by: w }, own.sweep)
      if (cover === null) return null
      if (cover.end > cover.start) covers.push(cover)
    }
  }
  return covers.sort((a, b) => a.start - b.start)
}

/** Both joints bound the closing, so a cover that reaches over one does so by rounding: its nearer end moves onto the joint. */
function clampToJoints(cover: Cover, sweep: number): Cover | null {
  if (cover.start < 0) {
    if (Math.min(-cover.start, cover.end) > JOINT_SLACK) return null
    if (-cover.start < cover.end) cover.start = 0
    else return { ...cover, start: 0, end: 0 }
  }
  if (cover.end > sweep) {
    if (Math.min(cover.end - sweep, sweep - cover.start) > JOINT_SLACK) return null
    if (cover.end - sweep < sweep - cover.start) cover.end = sweep
    else return { ...cover, start: 0, end: 0 }
  }
  return cover
}

function pushPieces(vertex: number, sweep: number, covers: readonly Cover[], pieces: ConcavePiece[]): void {
  let [reach, from] = [0, -1]
  let isFirst = true
  for (const cover of covers) {
    if (cover.start > reach || isFirst) pieces.push({ vertex, from, into: cover.by, start: reach, end: cover.start })
    isFirst = false
    if (cover.end > reach) [reach, from] = [cover.end, cover.by]
  }
  pieces.push({ vertex, from, into: -1, start: reach, end: Math.max(reach, sweep) })
}
