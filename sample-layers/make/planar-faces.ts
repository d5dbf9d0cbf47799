import { distance, FRAME, isInRing, type Point, ringArea } from './place.ts'

/** A block of land between lines; each edge says which kind of line it runs along. */
export interface Block {
  readonly ring: readonly Point[]
  /** Kind of the edge from ring[i] to ring[i + 1]. */
  readonly edges: readonly EdgeKind[]
}

export type EdgeKind = 'road' | 'water' | 'line'

export interface Cut {
  readonly points: readonly Point[]
  readonly kind: EdgeKind
}

interface Edge {
  readonly from: number
  readonly to: number
  readonly kind: EdgeKind
}

/** The faces that lines cut a bounded area into, with small slivers given to the neighbour they share most with. */
export function findBlocks(cuts: readonly Cut[], boundary: readonly Point[], least: number): Block[] {
  const { vertices, edges } = nodeLines([...cuts, { points: boundary, kind: 'line' }])
  let kept = dropBridges(vertices, pruneDangles(edges.filter(edge => isWithinCounty(edge, vertices, boundary))))
  for (let round = 0; round < 4; round++) {
    const faces = traceFaces(vertices, kept)
    const doomed = sliverEdges(faces, vertices, kept, least)
    if (doomed.size === 0) break
    kept = dropBridges(vertices, pruneDangles(kept.filter((_, i) => !doomed.has(i))))
  }
  return traceFaces(vertices, kept)
    .filter(face => face.area > 0)
    .map(face => ({
      ring: face.vertices.map(v => vertices[v] as Point),
      edges: face.edges.map(e => (kept[e >> 1] as Edge).kind),
    }))
}

function isWithinCounty(edge: Edge, vertices: readonly Point[], boundary: readonly Point[]): boolean {
  if (edge.kind === 'line') return true
  const [a, b] = [vertices[edge.from] as Point, vertices[edge.to] as Point]
  return isInRing([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], boundary)
}

/** Splits all segments where they cross; ends that coincide become one vertex. */
function nodeLines(cuts: readonly Cut[]): { vertices: Point[]; edges: Edge[] } {
  const vertices: Point[] = []
  const index = new Map<string, number>()
  const seat = (p: Point): number => {
    const key = `${Math.round(p[0] * 1000)},${Math.round(p[1] * 1000)}`
    const held = index.get(key)
    if (held !== undefined) return held
    index.set(key, vertices.length)
    vertices.push(p)
    return vertices.length - 1
  }
  const segments = cuts
    .flatMap(cut =>
      cut.points.slice(1).map((b, k) => ({
        a: seat(cut.points[k] as Point),
        b: seat(b),
        kind: cut.kind,
        cutsAt: [] as { t: number; v: number }[],
      })),
    )
    .filter(s => s.a !== s.b)
  const grid = new Map<number, number[]>()
  const cell = 120
  segments.forEach((segment, i) => {
    const [p, q] = [vertices[segment.a] as Point, vertices[segment.b] as Point]
    const range = (k: 0 | 1, base: number) =>
      [Math.floor((Math.min(p[k], q[k]) - base) / cell), Math.floor((Math.max(p[k], q[k]) - base) / cell)] as const
    const [x0, x1] = range(0, FRAME.west)
    const [y0, y1] = range(1, FRAME.south)
    for (let x = x0; x <= x1; x++)
      for (let y = y0; y <= y1; y++) {
        const key = x * 4096 + y
        const list = grid.get(key) ?? []
        for (const j of list) crossSegments(segments[j] as Segment, segment, vertices, seat)
        list.push(i)
        grid.set(key, list)
      }
  })
  const edges: Edge[] = []
  const seen = new Set<string>()
  for (const segment of segments) {
    const chain = [segment.a, ...segment.cutsAt.sort((m, n) => m.t - n.t).map(c => c.v), segment.b]
    for (let k = 0; k + 1 < chain.length; k++) {
      const [from, to] = [chain[k] as number, chain[k + 1] as number]
      const key = from < to ? `${from},${to}` : `${to},${from}`
      if (from === to || seen.has(key)) continue
      seen.add(key)
      edges.push({ from, to, kind: segment.kind })
    }
  }
  return { vertices, edges }
}

interface Segment {
  readonly a: number
  readonly b: number
  readonly cutsAt: { t: number; v: number }[]
}

function crossSegments(m: Segment, n: Segment, vertices: readonly Point[], seat: (p: Point) => number): void {
  if (m.a === n.a || m.a === n.b || m.b === n.a || m.b === n.b) return
  const [p, q, r, s] = [vertices[m.a], vertices[m.b], vertices[n.a], vertices[n.b]] as [Point, Point, Point, Point]
  const [dx, dy, ex, ey] = [q[0] - p[0], q[1] - p[1], s[0] - r[0], s[1] - r[1]]
  const det = dx * ey - dy * ex
  if (Math.abs(det) < 1e-9) return
  const t = ((r[0] - p[0]) * ey - (r[1] - p[1]) * ex) / det
  const u = ((r[0] - p[0]) * dy - (r[1] - p[1]) * dx) / det
  if (t < 0 || t > 1 || u < 0 || u > 1) return
  const v = seat([p[0] + t * dx, p[1] + t * dy])
  if (m.cutsAt.every(c => c.v !== v) && v !== m.a && v !== m.b) m.cutsAt.push({ t, v })
  if (n.cutsAt.every(c => c.v !== v) && v !== n.a && v !== n.b) n.cutsAt.push({ t: u, v })
}

function pruneDangles(edges: readonly Edge[]): Edge[] {
  let kept = [...edges]
  for (;;) {
    const degree = new Map<number, number>()
    for (const edge of kept) for (const v of [edge.from, edge.to]) degree.set(v, (degree.get(v) ?? 0) + 1)
    const next = kept.filter(edge => (degree.get(edge.from) as number) > 1 && (degree.get(edge.to) as number) > 1)
    if (next.length === kept.length) return kept
    kept = next
  }
}

/** Leaves out edges with the same face on both sides, and whatever then hangs together no longer with the county line. */
function dropBridges(vertices: readonly Point[], edges: readonly Edge[]): Edge[] {
  const bridges = new Set<number>()
  for (const face of traceFaces(vertices, edges)) {
    const own = new Set(face.edges)
    for (const h of face.edges) if (own.has(h ^ 1)) bridges.add(h >> 1)
  }
  const firm = edges.filter((_, i) => !bridges.has(i))
  const around = new Map<number, number[]>()
  for (const { from, to } of firm) {
    around.set(from, [...(around.get(from) ?? []), to])
    around.set(to, [...(around.get(to) ?? []), from])
  }
  const start = firm.find(edge => edge.kind === 'line')?.from as number
  const reached = new Set([start])
  const queue = [start]
  while (queue.length > 0)
    for (const next of around.get(queue.pop() as number) ?? [])
      if (!reached.has(next)) {
        reached.add(next)
        queue.push(next)
      }
  return firm.filter(edge => reached.has(edge.from))
}

interface Face {
  readonly vertices: readonly number[]
  /** Half-edges: 2 e forward along edge e, 2 e + 1 backward. */
  readonly edges: readonly number[]
  readonly area: number
}

/** Walks every half-edge, always turning to the next edge clockwise, so that inner faces come out anticlockwise. */
function traceFaces(vertices: readonly Point[], edges: readonly Edge[]): Face[] {
  const leaving = new Map<number, number[]>()
  const headOf = (h: number) => (h & 1 ? (edges[h >> 1] as Edge).from : (edges[h >> 1] as Edge).to)
  const tailOf = (h: number) => headOf(h ^ 1)
  for (let h = 0; h < 2 * edges.length; h++) {
    const fan = leaving.get(tailOf(h))
    if (fan) fan.push(h)
    else leaving.set(tailOf(h), [h])
  }
  const rank = new Map<number, number>()
  for (const [v, fan] of leaving) {
    const o = vertices[v] as Point
    fan.sort((a, b) => slantOf(o, vertices[headOf(a)] as Point) - slantOf(o, vertices[headOf(b)] as Point))
    fan.forEach((h, k) => {
      rank.set(h, k)
    })
  }
  const used = new Uint8Array(2 * edges.length)
  const faces: Face[] = []
  for (let start = 0; start < used.length; start++) {
    if (used[start]) continue
    const loop: number[] = []
    for (let h = start; !used[h]; ) {
      used[h] = 1
      loop.push(h)
      const fan = leaving.get(headOf(h)) as number[]
      h = fan[((rank.get(h ^ 1) as number) - 1 + fan.length) % fan.length] as number
    }
    const ring = loop.map(tailOf)
    faces.push({ vertices: ring, edges: loop, area: ringArea(ring.map(v => vertices[v] as Point)) })
  }
  return faces
}

/** Grows with the angle of a direction, without an arctangent. */
function slantOf(o: Point, p: Point): number {
  const [dx, dy] = [p[0] - o[0], p[1] - o[1]]
  const s = dy / (Math.abs(dx) + Math.abs(dy))
  return dx >= 0 ? s : 2 - s
}

function sliverEdges(
  faces: readonly Face[],
  vertices: readonly Point[],
  edges: readonly Edge[],
  least: number,
): Set<number> {
  const faceOf = new Map<number, number>()
  faces.forEach((face, f) => {
    for (const h of face.edges) faceOf.set(h, f)
  })
  const doomed = new Set<number>()
  const touched = new Set<number>()
  faces.forEach((face, f) => {
    if (face.area <= 0 || face.area >= least || touched.has(f)) return
    const shared = new Map<number, { length: number; edges: number[] }>()
    for (const h of face.edges) {
      const other = faceOf.get(h ^ 1) as number
      if (other === f || (faces[other] as Face).area <= 0) continue
      const edge = edges[h >> 1] as Edge
      const entry = shared.get(other) ?? { length: 0, edges: [] }
      entry.length +=
        distance(vertices[edge.from] as Point, vertices[edge.to] as Point) * (edge.kind === 'road' ? 0.2 : 1)
      entry.edges.push(h >> 1)
      shared.set(other, entry)
    }
    const best = [...shared].sort((a, b) => b[1].length - a[1].length || a[0] - b[0])[0]
    if (!best || touched.has(best[0])) return
    touched.add(f).add(best[0])
    for (const e of best[1].edges) doomed.add(e)
  })
  return doomed
}
