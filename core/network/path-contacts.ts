import type { Task } from '../model/index.ts'
import type { LinePaths } from './line-paths.ts'
import { localMetresAt } from './local-metres.ts'
import { buildSegmentRuns, findRunsNear, type SegmentRuns } from './segment-runs.ts'

/**
 * Where paths meet other than end to end. A place on a path is its vertex plus the fraction of the segment that begins there.
 * `touch`: an end of path `a` lies within snap of the inside of path `b`. `crossing`: two insides share a point.
 */
export interface PathContact {
  readonly kind: 'crossing' | 'touch'
  readonly a: number
  readonly placeA: number
  readonly b: number
  readonly placeB: number
}

/** Nearest point of a path to a place. */
export interface PathPoint {
  readonly path: number
  readonly place: number
  readonly distance: number
}

/** Longitude, latitude at a place on the paths; exact at vertices. */
export function positionOnPath(coords: Float64Array, place: number): readonly [number, number] {
  const vertex = Math.floor(place)
  const t = place - vertex
  const [x, y] = [coords[2 * vertex]!, coords[2 * vertex + 1]!]
  if (t === 0) return [x, y]
  return [x + t * (coords[2 * vertex + 2]! - x), y + t * (coords[2 * vertex + 3]! - y)]
}

/** Paths as a spatial structure to ask for contacts and neighbours. */
export interface PathField {
  readonly paths: LinePaths
  readonly runs: SegmentRuns
}

export const buildPathField = (paths: LinePaths): PathField => ({
  paths,
  runs: buildSegmentRuns(paths.coords, paths.offsets),
})

/** Nearest point of each path within `distance` metres of a place, by path. */
export function findPathsNear(field: PathField, longitude: number, latitude: number, distance: number): PathPoint[] {
  const { paths, runs } = field
  const scale = localMetresAt(latitude)
  const nearest = new Map<number, PathPoint>()
  for (const run of findRunsNear(runs, longitude, latitude, distance)) {
    const path = runs.path[run]!
    for (let vertex = runs.start[run]!; vertex < runs.end[run]!; vertex++) {
      const { coords } = paths
      const ax = (coords[2 * vertex]! - longitude) * scale.x
      const ay = (coords[2 * vertex + 1]! - latitude) * scale.y
      const dx = (coords[2 * vertex + 2]! - longitude) * scale.x - ax
      const dy = (coords[2 * vertex + 3]! - latitude) * scale.y - ay
      const t = Math.min(1, Math.max(0, -(ax * dx + ay * dy) / (dx * dx + dy * dy)))
      const away = Math.hypot(ax + t * dx, ay + t * dy)
      const known = nearest.get(path)
      if (away <= distance && !(known !== undefined && known.distance <= away)) {
        nearest.set(path, { path, place: vertex + t, distance: away })
      }
    }
  }
  return [...nearest.values()].sort((a, b) => a.path - b.path)
}

/** Ends of paths on the inside of other paths, within snap. */
export async function findTouches(field: PathField, snap: number, task: Task): Promise<PathContact[]> {
  const { coords, offsets, pathCount } = field.paths
  // Half a micrometre lets a vertex that was computed to lie on a line count as on it at snap 0.
  const reach = Math.max(snap, 1e-6)
  const contacts: PathContact[] = []
  for (let path = 0; path < pathCount; path++) {
    if (path % 2000 === 0) await task.step(path / pathCount, 'Looking for lines that touch')
    for (const end of [offsets[path]!, offsets[path + 1]! - 1]) {
      const [longitude, latitude] = [coords[2 * end]!, coords[2 * end + 1]!]
      for (const near of findPathsNear(field, longitude, latitude, reach)) {
        if (near.path === path || isNearPathEnd(field.paths, near.path, longitude, latitude, reach)) continue
        contacts.push({ kind: 'touch', a: path, placeA: end, b: near.path, placeB: near.place })
      }
    }
  }
  return contacts
}

function isNearPathEnd(paths: LinePaths, path: number, longitude: number, latitude: number, reach: number): boolean {
  const ends = [paths.offsets[path]!, paths.offsets[path + 1]! - 1]
  return ends.some(end => planarDistance(paths.coords, end, longitude, latitude) <= reach)
}

function planarDistance(coords: Float64Array, vertex: number, longitude: number, latitude: number): number {
  const scale = localMetresAt(latitude)
  return Math.hypot((coords[2 * vertex]! - longitude) * scale.x, (coords[2 * vertex + 1]! - latitude) * scale.y)
}

/** Places where the insides of two paths (or of one path) cross or share a vertex, farther than snap from their ends. */
export async function findCrossings(field: PathField, snap: number, task: Task): Promise<PathContact[]> {
  const { runs } = field
  const found = new Map<string, PathContact>()
  for (let run = 0; run < runs.path.length; run++) {
    if (run % 2000 === 0) await task.step(run / runs.path.length, 'Looking for lines that cross')
    const box = runs.boxes.subarray(4 * run, 4 * run + 4)
    for (const other of runs.index.search([box[0]!, box[1]!, box[2]!, box[3]!])) {
      if (other >= run) crossRuns(field, run, other, snap, found)
    }
  }
  return [...found.values()]
}

function crossRuns(field: PathField, run: number, other: number, snap: number, found: Map<string, PathContact>): void {
  const { runs } = field
  const { coords } = field.paths
  const isSamePath = runs.path[run] === runs.path[other]
  for (let i = runs.start[run]!; i < runs.end[run]!; i++) {
    const from = run === other ? i + 2 : runs.start[other]!
    for (let j = from; j < runs.end[other]!; j++) {
      if (isSamePath && Math.abs(i - j) < 2) continue
      const t = crossSegments(coords, i, j)
      if (Number.isNaN(t)) continue
      const u = crossSegments(coords, j, i)
      if (Number.isNaN(u)) continue
      const contact: PathContact = {
        kind: 'crossing',
        a: runs.path[run]!,
        placeA: i + t,
        b: runs.path[other]!,
        placeB: j + u,
      }
      if (isInside(field.paths, contact, snap)) found.set(`${contact.placeA}/${contact.placeB}`, contact)
    }
  }
}

/** A crossing at the end of a path is a touch or a shared end, which the ends find themselves. */
function isInside(paths: LinePaths, contact: PathContact, snap: number): boolean {
  const [longitude, latitude] = positionOnPath(paths.coords, contact.placeA)
  const reach = Math.max(snap, 1e-6)
  return (
    !isNearPathEnd(paths, contact.a, longitude, latitude, reach) &&
    !isNearPathEnd(paths, contact.b, longitude, latitude, reach)
  )
}

/** Fraction of segment i at which it meets segment j, NaN where it does not; a hair beyond an end counts as the end. */
function crossSegments(coords: Float64Array, i: number, j: number): number {
  const [ax, ay, bx, by] = [coords[2 * i]!, coords[2 * i + 1]!, coords[2 * i + 2]!, coords[2 * i + 3]!]
  const [cx, cy, dx, dy] = [coords[2 * j]!, coords[2 * j + 1]!, coords[2 * j + 2]!, coords[2 * j + 3]!]
  if (Math.max(ax, bx) < Math.min(cx, dx) || Math.max(cx, dx) < Math.min(ax, bx)) return Number.NaN
  if (Math.max(ay, by) < Math.min(cy, dy) || Math.max(cy, dy) < Math.min(ay, by)) return Number.NaN
  if ((ax === cx && ay === cy) || (ax === dx && ay === dy)) return 0
  if ((bx === cx && by === cy) || (bx === dx && by === dy)) return 1
  const [rx, ry, sx, sy] = [bx - ax, by - ay, dx - cx, dy - cy]
  const cross = rx * sy - ry * sx
  if (cross === 0) return Number.NaN
  const t = ((cx - ax) * sy - (cy - ay) * sx) / cross
  if (!(t >= -1e-12 && t <= 1 + 1e-12)) return Number.NaN
  return Math.min(1, Math.max(0, t))
}
