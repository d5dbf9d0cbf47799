import type { Task } from '../model/index.ts'
import type { LinePaths } from './line-paths.ts'
import { type LocalMetres, LocalScale } from './local-metres.ts'
import { buildSegmentGrid, type SegmentGrid } from './segment-grid.ts'

/**
 * Where paths meet other than end to end, in columns. A place on a path is its vertex plus the fraction of the segment that
 * begins there. A touch: an end of path `a` lies within snap of the inside of path `b`; a crossing: two insides share a point.
 */
export interface PathContacts {
  readonly count: number
  /** 1 for a crossing, 0 for a touch. */
  readonly isCrossing: Uint8Array
  readonly a: Uint32Array
  readonly placeA: Float64Array
  readonly b: Uint32Array
  readonly placeB: Float64Array
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
  readonly grid: SegmentGrid
  /** Path of each vertex. */
  readonly pathOf: Uint32Array
}

export function buildPathField(paths: LinePaths, snap: number): PathField {
  const pathOf = new Uint32Array(paths.coords.length / 2)
  for (let path = 0; path < paths.pathCount; path++) pathOf.fill(path, paths.offsets[path]!, paths.offsets[path + 1]!)
  return { paths, grid: buildSegmentGrid(paths.coords, paths.offsets, 2 * snap), pathOf }
}

/** The nearest point of each path near a place; one object serves many questions, so that nothing is made for an answer. */
export class NearPaths {
  readonly #field: PathField
  /** Metres a degree at the place that was asked for last. */
  readonly scale = new LocalScale()
  readonly path: number[] = []
  readonly place: number[] = []
  /** Squares of the distances, square metres. */
  readonly square: number[] = []
  count = 0
  longitude = Number.NaN
  latitude = Number.NaN

  constructor(field: PathField) {
    this.#field = field
  }

  /**
   * Finds the paths within `distance` metres of a place, in ascending order of path.
   * All in one loop: numbers handed to a function that is not inlined cost more than the work on them.
   */
  find(longitude: number, latitude: number, distance: number): void {
    const { grid, paths } = this.#field
    const { coords } = paths
    const { offsets, items, stride, mask } = grid
    this.scale.moveTo(latitude)
    const { x: scaleX, y: scaleY } = this.scale
    // A thousandth more: a degree is a little shorter a little farther north.
    const wide = (1.001 * distance) / scaleX
    const high = (1.001 * distance) / scaleY
    const left = Math.floor((longitude - wide - grid.west) * grid.perX)
    const right = Math.floor((longitude + wide - grid.west) * grid.perX)
    const bottom = Math.floor((latitude - high - grid.south) * grid.perY)
    const top = Math.floor((latitude + high - grid.south) * grid.perY)
    this.longitude = longitude
    this.latitude = latitude
    this.count = 0
    for (let row = bottom; row <= top; row++) {
      for (let column = left; column <= right; column++) {
        const bucket = (column + Math.imul(row, stride)) & mask
        const end = offsets[bucket + 1]!
        for (let i = offsets[bucket]!; i < end; i++) {
          const vertex = items[i]!
          const ax = (coords[2 * vertex]! - longitude) * scaleX
          const bx = (coords[2 * vertex + 2]! - longitude) * scaleX
          if ((ax > distance && bx > distance) || (ax < -distance && bx < -distance)) continue
          const ay = (coords[2 * vertex + 1]! - latitude) * scaleY
          const by = (coords[2 * vertex + 3]! - latitude) * scaleY
          if ((ay > distance && by > distance) || (ay < -distance && by < -distance)) continue
          const dx = bx - ax
          const dy = by - ay
          const t = Math.min(1, Math.max(0, -(ax * dx + ay * dy) / (dx * dx + dy * dy)))
          const x = ax + t * dx
          const y = ay + t * dy
          if (x * x + y * y <= distance * distance) this.#keep(vertex, t, x * x + y * y)
        }
      }
    }
    if (this.count > 1) this.#sort()
  }

  #keep(vertex: number, t: number, square: number): void {
    const path = this.#field.pathOf[vertex]!
    let at = 0
    while (at < this.count && this.path[at] !== path) at++
    if (at === this.count) this.count++
    else if (square > this.square[at]! || (square === this.square[at] && vertex + t >= this.place[at]!)) return
    this.path[at] = path
    this.place[at] = vertex + t
    this.square[at] = square
  }

  /** Whether an end of a path lies within `distance` metres of the place that was asked for last. */
  isNearEnd(path: number, distance: number): boolean {
    const { coords, offsets } = this.#field.paths
    const first = offsets[path]!
    const last = offsets[path + 1]! - 1
    const ax = (coords[2 * first]! - this.longitude) * this.scale.x
    const ay = (coords[2 * first + 1]! - this.latitude) * this.scale.y
    const bx = (coords[2 * last]! - this.longitude) * this.scale.x
    const by = (coords[2 * last + 1]! - this.latitude) * this.scale.y
    return ax * ax + ay * ay <= distance * distance || bx * bx + by * by <= distance * distance
  }

  #sort(): void {
    for (let i = 1; i < this.count; i++) {
      const [path, place, square] = [this.path[i]!, this.place[i]!, this.square[i]!]
      let at = i
      for (; at > 0 && this.path[at - 1]! > path; at--) {
        this.path[at] = this.path[at - 1]!
        this.place[at] = this.place[at - 1]!
        this.square[at] = this.square[at - 1]!
      }
      this.path[at] = path
      this.place[at] = place
      this.square[at] = square
    }
  }
}

/** Collects contacts. */
class ContactWriter {
  #isCrossing = new Uint8Array(1024)
  #a = new Uint32Array(1024)
  #placeA = new Float64Array(1024)
  #b = new Uint32Array(1024)
  #placeB = new Float64Array(1024)
  #count = 0

  add(isCrossing: boolean, a: number, placeA: number, b: number, placeB: number): void {
    if (this.#count === this.#a.length) this.#grow()
    const at = this.#count++
    this.#isCrossing[at] = isCrossing ? 1 : 0
    this.#a[at] = a
    this.#placeA[at] = placeA
    this.#b[at] = b
    this.#placeB[at] = placeB
  }

  addAll({ count, isCrossing, a, placeA, b, placeB }: PathContacts): void {
    for (let i = 0; i < count; i++) this.add(isCrossing[i] === 1, a[i]!, placeA[i]!, b[i]!, placeB[i]!)
  }

  #grow(): void {
    const wider = <T extends Uint8Array | Uint32Array | Float64Array>(column: T): T => {
      const into = new (column.constructor as new (size: number) => T)(2 * column.length)
      into.set(column)
      return into
    }
    this.#isCrossing = wider(this.#isCrossing)
    this.#a = wider(this.#a)
    this.#placeA = wider(this.#placeA)
    this.#b = wider(this.#b)
    this.#placeB = wider(this.#placeB)
  }

  finish(): PathContacts {
    const count = this.#count
    return {
      count,
      isCrossing: this.#isCrossing.slice(0, count),
      a: this.#a.slice(0, count),
      placeA: this.#placeA.slice(0, count),
      b: this.#b.slice(0, count),
      placeB: this.#placeB.slice(0, count),
    }
  }
}

export const NO_CONTACTS: PathContacts = new ContactWriter().finish()

/** The contacts of one list, then those of another. */
export function joinContacts(first: PathContacts, second: PathContacts): PathContacts {
  if (second.count === 0) return first
  if (first.count === 0) return second
  const joined = new ContactWriter()
  for (const contacts of [first, second]) joined.addAll(contacts)
  return joined.finish()
}

/** The contacts that `write` adds. */
export function writeContacts(write: (add: ContactWriter['add']) => void): PathContacts {
  const contacts = new ContactWriter()
  write((...contact) => contacts.add(...contact))
  return contacts.finish()
}

/** Contacts chosen by position, in that order. */
export function pickContacts(contacts: PathContacts, positions: ArrayLike<number>): PathContacts {
  const picked = new ContactWriter()
  for (let i = 0; i < positions.length; i++) {
    const at = positions[i]!
    picked.add(
      contacts.isCrossing[at] === 1,
      contacts.a[at]!,
      contacts.placeA[at]!,
      contacts.b[at]!,
      contacts.placeB[at]!,
    )
  }
  return picked.finish()
}

/** Ends of paths on the inside of other paths, within snap. */
export async function findTouches(field: PathField, snap: number, task: Task): Promise<PathContacts> {
  const { coords, offsets, pathCount } = field.paths
  // Half a micrometre lets a vertex that was computed to lie on a line count as on it at snap 0.
  const reach = Math.max(snap, 1e-6)
  const contacts = new ContactWriter()
  const near = new NearPaths(field)
  for (let path = 0; path < pathCount; path++) {
    if (path % 20_000 === 0) await task.step(path / pathCount, 'Looking for lines that touch')
    for (let end = offsets[path]!; end < offsets[path + 1]!; end += offsets[path + 1]! - 1 - offsets[path]!) {
      near.find(coords[2 * end]!, coords[2 * end + 1]!, reach)
      for (let i = 0; i < near.count; i++) {
        const other = near.path[i]!
        if (other === path || near.isNearEnd(other, reach)) continue
        contacts.add(false, path, end, other, near.place[i]!)
      }
    }
  }
  return contacts.finish()
}

function isNearPathEnd(
  { coords, offsets }: LinePaths,
  path: number,
  longitude: number,
  latitude: number,
  reach: number,
  scale: LocalMetres,
): boolean {
  const first = offsets[path]!
  const last = offsets[path + 1]! - 1
  const ax = (coords[2 * first]! - longitude) * scale.x
  const ay = (coords[2 * first + 1]! - latitude) * scale.y
  const bx = (coords[2 * last]! - longitude) * scale.x
  const by = (coords[2 * last + 1]! - latitude) * scale.y
  return ax * ax + ay * ay <= reach * reach || bx * bx + by * by <= reach * reach
}

/** Places where the insides of two paths (or of one path) cross or share a vertex, farther than snap from their ends. */
export async function findCrossings(field: PathField, snap: number, task: Task): Promise<PathContacts> {
  const { grid, pathOf, paths } = field
  const { offsets, items } = grid
  const { coords } = paths
  const contacts = new ContactWriter()
  const scale = new LocalScale()
  for (let bucket = 0; bucket <= grid.mask; bucket++) {
    if (bucket % 65_536 === 0) await task.step(bucket / grid.mask, 'Looking for lines that cross')
    const end = offsets[bucket + 1]!
    for (let m = offsets[bucket]!; m + 1 < end; m++) {
      const one = items[m]!
      for (let n = m + 1; n < end; n++) {
        const other = items[n]!
        const i = Math.min(one, other)
        const j = Math.max(one, other)
        if (j - i < 2 && pathOf[i] === pathOf[j]) continue
        const t = crossSegments(coords, i, j)
        if (Number.isNaN(t)) continue
        const u = crossSegments(coords, j, i)
        if (!Number.isNaN(u) && isInside(paths, pathOf[i]!, i + t, pathOf[j]!, snap, scale))
          contacts.add(true, pathOf[i]!, i + t, pathOf[j]!, j + u)
      }
    }
  }
  return distinctContacts(contacts.finish())
}

/** Crossings in order along the paths; those found in several cells, or from all sides of a shared vertex, once. */
function distinctContacts(contacts: PathContacts): PathContacts {
  const { placeA, placeB } = contacts
  const order = Uint32Array.from({ length: contacts.count }, (_, i) => i)
  order.sort((i, k) => placeA[i]! - placeA[k]! || placeB[i]! - placeB[k]!)
  const kept = order.filter(
    (at, k) => k === 0 || placeA[at] !== placeA[order[k - 1]!] || placeB[at] !== placeB[order[k - 1]!],
  )
  return pickContacts(contacts, kept)
}

/** A crossing at the end of a path is a touch or a shared end, which the ends find themselves. */
function isInside(paths: LinePaths, a: number, placeA: number, b: number, snap: number, scale: LocalScale): boolean {
  const { coords } = paths
  const vertex = Math.floor(placeA)
  const t = placeA - vertex
  const next = t === 0 ? vertex : vertex + 1
  const longitude = coords[2 * vertex]! + t * (coords[2 * next]! - coords[2 * vertex]!)
  const latitude = coords[2 * vertex + 1]! + t * (coords[2 * next + 1]! - coords[2 * vertex + 1]!)
  const reach = Math.max(snap, 1e-6)
  scale.moveTo(latitude)
  return (
    !isNearPathEnd(paths, a, longitude, latitude, reach, scale) &&
    !isNearPathEnd(paths, b, longitude, latitude, reach, scale)
  )
}

/** Fraction of segment i at which it meets segment j, NaN where it does not; a hair beyond an end counts as the end. */
function crossSegments(coords: Float64Array, i: number, j: number): number {
  const ax = coords[2 * i]!
  const bx = coords[2 * i + 2]!
  const cx = coords[2 * j]!
  const dx = coords[2 * j + 2]!
  if ((ax < cx && ax < dx && bx < cx && bx < dx) || (ax > cx && ax > dx && bx > cx && bx > dx)) return Number.NaN
  const ay = coords[2 * i + 1]!
  const by = coords[2 * i + 3]!
  const cy = coords[2 * j + 1]!
  const dy = coords[2 * j + 3]!
  if ((ay < cy && ay < dy && by < cy && by < dy) || (ay > cy && ay > dy && by > cy && by > dy)) return Number.NaN
  if ((ax === cx && ay === cy) || (ax === dx && ay === dy)) return 0
  if ((bx === cx && by === cy) || (bx === dx && by === dy)) return 1
  const rx = bx - ax
  const ry = by - ay
  const sx = dx - cx
  const sy = dy - cy
  const cross = rx * sy - ry * sx
  if (cross === 0) return Number.NaN
  const t = ((cx - ax) * sy - (cy - ay) * sx) / cross
  if (!(t >= -1e-12 && t <= 1 + 1e-12)) return Number.NaN
  return t < 0 ? 0 : Math.min(t, 1)
}
