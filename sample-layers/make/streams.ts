import { dropCrossers } from './drop-crossers.ts'
import type { Mesh } from './mesh.ts'
import { buildField } from './noise.ts'
import { distance, type Point } from './place.ts'
import { exp } from './steady-math.ts'
import type { Terrain } from './terrain.ts'

/** A watercourse from its head to where it joins a larger one (or leaves the land), in fine steps along the flow. */
export interface Stream {
  readonly points: readonly Point[]
  /** Drained area (m2) and height (m) at each point. */
  readonly area: readonly number[]
  readonly height: readonly number[]
  /** The stream that it joins and the index of that stream's point; -1 for one that leaves the land. */
  readonly joins: number
  readonly joinsAt: number
}

/** Ground that must drain to a point before a line is drawn, square metres. */
const HEAD_AREA = 88_000
const SUBSTEPS = 4

/** Width of a channel in metres from its drained area; about the square root, as regional curves have it. */
export function channelWidth(area: number): number {
  return Math.max(0.8, 1.9 * Math.sqrt(area / 1e6))
}

/** All watercourses, larger ones first: a stream always comes after the one that it joins. */
export function traceStreams(mesh: Mesh, terrain: Terrain): Stream[] {
  const paths = stemPaths(terrain)
  const places = relaxCourses(mesh, paths)
  const streams: Stream[] = []
  const seat = new Map<number, { stream: number; at: number }>()
  for (const path of paths) {
    const join = seat.get(path[path.length - 1] as number)
    const fine = refine(path, places, terrain)
    const parent = join === undefined ? undefined : streams[join.stream]
    streams.push({ ...fine, joins: join?.stream ?? -1, joinsAt: join?.at ?? -1 })
    const own = parent === undefined ? path : path.slice(0, -1)
    own.forEach((node, k) => {
      seat.set(node, { stream: streams.length - 1, at: k * SUBSTEPS })
    })
  }
  return dropCrossers(swing(streams))
}

/** Mesh nodes of each stream from head to mouth; the mouth of a tributary is the node of the larger stream. */
function stemPaths(terrain: Terrain): number[][] {
  const { receiver, area, order } = terrain
  const isWet = (i: number) => (area[i] as number) >= HEAD_AREA
  const main = new Int32Array(area.length).fill(-1)
  for (const i of order) {
    const down = receiver[i] as number
    if (!isWet(i) || down === i) continue
    const held = main[down] as number
    if (held < 0 || (area[i] as number) > (area[held] as number)) main[down] = i
  }
  const mouths: number[] = []
  for (const i of order) {
    const down = receiver[i] as number
    if (!isWet(i)) continue
    if (down === i || main[down] !== i) mouths.push(i)
  }
  mouths.sort((a, b) => (area[b] as number) - (area[a] as number) || a - b)
  const paths = mouths.map(mouth => {
    const upward: number[] = []
    for (let i = mouth; i >= 0; i = main[i] as number) upward.push(i)
    const path = upward.reverse()
    const down = receiver[mouth] as number
    if (down !== mouth) path.push(down)
    return path
  })
  return paths.filter(path => path.length >= 4)
}

/** Pulls the nodes of each course toward smooth lines; confluences move with the larger stream. */
function relaxCourses(mesh: Mesh, paths: readonly number[][]): Map<number, Point> {
  const places = new Map<number, Point>()
  for (const path of paths) for (const node of path) places.set(node, mesh.points[node] as Point)
  for (let round = 0; round < 5; round++)
    for (const path of paths) {
      const before = path.map(node => places.get(node) as Point)
      for (let k = 1; k + 1 < path.length; k++) {
        const [a, b, c] = [before[k - 1] as Point, before[k] as Point, before[k + 1] as Point]
        places.set(path[k] as number, [0.5 * b[0] + 0.25 * (a[0] + c[0]), 0.5 * b[1] + 0.25 * (a[1] + c[1])])
      }
    }
  return places
}

/** Catmull-Rom points through the nodes of a path. */
function refine(path: readonly number[], places: ReadonlyMap<number, Point>, terrain: Terrain) {
  const knots = path.map(node => places.get(node) as Point)
  const points: Point[] = []
  const area: number[] = []
  const height: number[] = []
  for (let k = 0; k + 1 < knots.length; k++) {
    const [a, b, c, d] = [
      knots[Math.max(0, k - 1)],
      knots[k],
      knots[k + 1],
      knots[Math.min(knots.length - 1, k + 2)],
    ] as [Point, Point, Point, Point]
    for (let s = 0; s < SUBSTEPS; s++) {
      const t = s / SUBSTEPS
      points.push([catmullRom(a[0], b[0], c[0], d[0], t), catmullRom(a[1], b[1], c[1], d[1], t)])
      area.push(terrain.area[path[k] as number] as number)
      const [top, foot] = [terrain.height[path[k] as number] as number, terrain.height[path[k + 1] as number] as number]
      height.push(top + (foot - top) * t)
    }
  }
  points.push(knots[knots.length - 1] as Point)
  area.push(area[area.length - 1] as number)
  height.push(terrain.height[path[path.length - 1] as number] as number)
  return { points, area, height }
}

const catmullRom = (a: number, b: number, c: number, d: number, t: number): number =>
  0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t * t + (3 * b - a - 3 * c + d) * t * t * t)

/** Swings each course sideways, wide ones in wider bends, and carries the mouths of tributaries along. */
function swing(streams: readonly Stream[]): Stream[] {
  const wide = buildField('bends of rivers', 190)
  const middle = buildField('bends of creeks', 120)
  const small = buildField('bends of brooks', 75)
  const moved: Stream[] = []
  streams.forEach((stream, index) => {
    const parent = moved[stream.joins]
    const old = streams[stream.joins]
    const mouth = stream.points[stream.points.length - 1] as Point
    const carried: Point =
      parent && old ? shift(old.points[stream.joinsAt] as Point, parent.points[stream.joinsAt] as Point) : [0, 0]
    const fromMouth = new Float64Array(stream.points.length)
    for (let i = stream.points.length - 2; i >= 0; i--)
      fromMouth[i] = (fromMouth[i + 1] as number) + distance(stream.points[i] as Point, stream.points[i + 1] as Point)
    const total = fromMouth[0] as number
    const points = stream.points.map((point, i): Point => {
      const run = fromMouth[i] as number
      const width = channelWidth(stream.area[i] as number)
      const size = Math.min(1, width / 12)
      const seat = 1000 * index
      const bend = 70 * size * wide(run, seat) + 24 * Math.min(1, width / 4) * middle(run, seat) + 12 * small(run, seat)
      const [nx, ny] = normalAt(stream.points, i)
      const free = (parent ? 1 - exp(-run / 60) : 1) * (1 - exp(-(total - run) / 50))
      const hold = exp(-run / 110)
      return [point[0] + nx * bend * free + carried[0] * hold, point[1] + ny * bend * free + carried[1] * hold]
    })
    if (parent) points[points.length - 1] = parent.points[stream.joinsAt] as Point
    else points[points.length - 1] = mouth
    moved.push({ ...stream, points })
  })
  return moved
}

const shift = (from: Point, to: Point): Point => [to[0] - from[0], to[1] - from[1]]

function normalAt(points: readonly Point[], i: number): Point {
  const a = points[Math.max(0, i - 3)] as Point
  const b = points[Math.min(points.length - 1, i + 3)] as Point
  const length = distance(a, b) || 1
  return [-(b[1] - a[1]) / length, (b[0] - a[0]) / length]
}
