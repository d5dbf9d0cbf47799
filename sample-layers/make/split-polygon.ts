import type { Point } from './place.ts'
import type { Block, EdgeKind } from './planar-faces.ts'
import { cos, sin, TAU } from './steady-math.ts'

/**
 * Cuts a simple polygon with the line through `at` along `heading`.
 * The pieces share the new corners exactly; new edges are lot lines. A line that misses gives the polygon back.
 */
export function splitPolygon(block: Block, at: Point, heading: Point): Block[] {
  const side = block.ring.map(p => {
    const d = (p[0] - at[0]) * -heading[1] + (p[1] - at[1]) * heading[0]
    // A corner that touches the line counts as left of it, so that crossings always come in pairs.
    return Math.abs(d) < 1e-6 ? 1e-6 : d
  })
  const ring: Point[] = []
  const edges: EdgeKind[] = []
  const crossings: number[] = []
  block.ring.forEach((a, i) => {
    const j = (i + 1) % block.ring.length
    const b = block.ring[j] as Point
    const [da, db] = [side[i] as number, side[j] as number]
    ring.push(a)
    edges.push(block.edges[i] as EdgeKind)
    if (da > 0 === db > 0) return
    const t = da / (da - db)
    crossings.push(ring.length)
    ring.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])])
    edges.push(block.edges[i] as EdgeKind)
  })
  if (crossings.length < 2) return [block]
  return tracePieces(ring, edges, crossings, heading)
}

function tracePieces(
  ring: readonly Point[],
  edges: readonly EdgeKind[],
  crossings: readonly number[],
  heading: Point,
): Block[] {
  const along = (v: number) => (ring[v] as Point)[0] * heading[0] + (ring[v] as Point)[1] * heading[1]
  const sorted = [...crossings].sort((a, b) => along(a) - along(b))
  const partner = new Map<number, number>()
  for (let k = 0; k + 1 < sorted.length; k += 2) {
    partner.set(sorted[k] as number, sorted[k + 1] as number)
    partner.set(sorted[k + 1] as number, sorted[k] as number)
  }
  const used = new Uint8Array(ring.length)
  const pieces: Block[] = []
  for (let start = 0; start < ring.length; start++) {
    if (used[start] || partner.has(start)) continue
    const points: Point[] = []
    const kinds: EdgeKind[] = []
    let v = start
    do {
      used[v] = 1
      points.push(ring[v] as Point)
      const across = partner.get(v)
      if (across !== undefined) {
        kinds.push('line')
        points.push(ring[across] as Point)
        v = across
      }
      kinds.push(edges[v] as EdgeKind)
      v = (v + 1) % ring.length
    } while (v !== start && points.length < 4 * ring.length)
    pieces.push({ ring: points, edges: kinds })
  }
  return pieces
}

/** Direction (unit) and spread of a polygon: the long axis of the box, among those along its edges, of least area. */
export function longAxis(block: Block): { heading: Point; long: number; short: number; centre: Point } {
  let best = { heading: [1, 0] as Point, long: 0, short: 0, centre: [0, 0] as Point }
  let least = Number.POSITIVE_INFINITY
  for (let k = 0; k < 24; k++) {
    const [c, s] = DIRECTIONS[k] as Point
    let [u0, u1, v0, v1] = [Infinity, -Infinity, Infinity, -Infinity]
    for (const [x, y] of block.ring) {
      const u = x * c + y * s
      const v = -x * s + y * c
      u0 = Math.min(u0, u)
      u1 = Math.max(u1, u)
      v0 = Math.min(v0, v)
      v1 = Math.max(v1, v)
    }
    const [du, dv] = [u1 - u0, v1 - v0]
    if (du * dv >= least) continue
    least = du * dv
    const [mu, mv] = [(u0 + u1) / 2, (v0 + v1) / 2]
    const centre: Point = [mu * c - mv * s, mu * s + mv * c]
    best =
      du >= dv ? { heading: [c, s], long: du, short: dv, centre } : { heading: [-s, c], long: dv, short: du, centre }
  }
  return best
}

const DIRECTIONS: readonly Point[] = Array.from(
  { length: 24 },
  (_, k): Point => [cos((TAU * k) / 96), sin((TAU * k) / 96)],
)
