import { localMetresAt } from './local-metres.ts'

/**
 * Segments of paths by cells of about one and a half times their mean length, in columns. Segment i runs from vertex i to vertex i + 1.
 * Shapes: segments of bucket b are `items[offsets[b] .. offsets[b + 1]]`; cells far apart may share a bucket.
 * Cost: linear in the segments, however long some are, for the cells that all of them cross are about as many as they.
 */
export interface SegmentGrid {
  readonly offsets: Uint32Array
  readonly items: Uint32Array
  readonly west: number
  readonly south: number
  /** Cells a degree. */
  readonly perX: number
  readonly perY: number
  readonly stride: number
  readonly mask: number
}

/** Width of a cell, mean lengths of a segment. */
const CELL = 1.5
/** Multiplier of rows where the cells of the whole ground would be too many: any large odd number. */
const SCATTER = 0x9e3779b1

/** Builds the grid; cells are at least `least` metres wide. */
export function buildSegmentGrid(coords: Float64Array, pathOffsets: Uint32Array, least: number): SegmentGrid {
  const frame = frameOf(coords, pathOffsets, least)
  const segments = Math.max(1, coords.length / 2 - (pathOffsets.length - 1))
  const isWhole = frame.columns * frame.rows <= 8 * segments + 1024
  const size = 2 ** Math.ceil(Math.log2(isWhole ? Math.max(2, frame.columns * frame.rows) : 4 * segments))
  const grid = { ...frame, stride: isWhole ? frame.columns : SCATTER | 0, mask: size - 1 }
  const entries = new EntryWriter(3 * segments)
  listEntries(coords, pathOffsets, grid, entries)
  return { ...grid, ...groupByBucket(entries, size) }
}

/** Sorts the entries by bucket, by counting. */
function groupByBucket({ count, bucket, segment }: EntryWriter, size: number) {
  const offsets = new Uint32Array(size + 1)
  for (let i = 0; i < count; i++) offsets[bucket[i]!]!++
  let sum = 0
  for (let b = 0; b <= size; b++) {
    sum += offsets[b]!
    offsets[b] = sum
  }
  // Filled from the ends down: what was the end of each bucket becomes its start.
  const items = new Uint32Array(count)
  for (let i = count - 1; i >= 0; i--) items[--offsets[bucket[i]!]!] = segment[i]!
  return { offsets, items }
}

/** Pairs of a bucket and a segment. */
class EntryWriter {
  bucket: Uint32Array
  segment: Uint32Array
  count = 0

  constructor(room: number) {
    this.bucket = new Uint32Array(room)
    this.segment = new Uint32Array(room)
  }

  add(bucket: number, segment: number): void {
    if (this.count === this.bucket.length) this.#grow()
    this.bucket[this.count] = bucket
    this.segment[this.count++] = segment
  }

  #grow(): void {
    const wider = (column: Uint32Array) => {
      const into = new Uint32Array(2 * column.length + 16)
      into.set(column)
      return into
    }
    this.bucket = wider(this.bucket)
    this.segment = wider(this.segment)
  }
}

interface GridFrame {
  readonly west: number
  readonly south: number
  readonly perX: number
  readonly perY: number
  readonly columns: number
  readonly rows: number
}

function frameOf(coords: Float64Array, pathOffsets: Uint32Array, least: number): GridFrame {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity]
  for (let i = 0; i < coords.length; i += 2) {
    const x = coords[i]!
    const y = coords[i + 1]!
    if (x < west) west = x
    if (x > east) east = x
    if (y < south) south = y
    if (y > north) north = y
  }
  if (!(west <= east)) return { west: 0, south: 0, perX: 1, perY: 1, columns: 1, rows: 1 }
  const scale = localMetresAt((south + north) / 2)
  let length = 0
  for (let path = 0; path + 1 < pathOffsets.length; path++) {
    for (let i = pathOffsets[path]! + 1; i < pathOffsets[path + 1]!; i++) {
      const dx = (coords[2 * i]! - coords[2 * i - 2]!) * scale.x
      const dy = (coords[2 * i + 1]! - coords[2 * i - 1]!) * scale.y
      length += Math.sqrt(dx * dx + dy * dy)
    }
  }
  const segments = coords.length / 2 - (pathOffsets.length - 1)
  const side = Math.max((CELL * length) / Math.max(1, segments), least, 1e-3)
  const perX = scale.x / side
  const perY = scale.y / side
  return {
    west,
    south,
    perX,
    perY,
    columns: Math.floor((east - west) * perX) + 1,
    rows: Math.floor((north - south) * perY) + 1,
  }
}

/** Adds every cell that a segment comes through, a hair wider than it is. */
function listEntries(
  coords: Float64Array,
  pathOffsets: Uint32Array,
  { west, south, perX, perY, stride, mask }: GridFrame & { readonly stride: number; readonly mask: number },
  entries: EntryWriter,
): void {
  for (let path = 0; path + 1 < pathOffsets.length; path++) {
    const last = pathOffsets[path + 1]! - 1
    let bx = (coords[2 * pathOffsets[path]!]! - west) * perX
    let by = (coords[2 * pathOffsets[path]! + 1]! - south) * perY
    for (let segment = pathOffsets[path]!; segment < last; segment++) {
      const ax = bx
      const ay = by
      bx = (coords[2 * segment + 2]! - west) * perX
      by = (coords[2 * segment + 3]! - south) * perY
      const left = Math.floor(Math.min(ax, bx))
      const right = Math.floor(Math.max(ax, bx))
      const bottom = Math.floor(Math.min(ay, by))
      const top = Math.floor(Math.max(ay, by))
      if (left === right && bottom === top) {
        entries.add((left + Math.imul(bottom, stride)) & mask, segment)
        continue
      }
      const slope = by === ay ? 0 : (bx - ax) / (by - ay)
      for (let row = bottom; row <= top; row++) {
        let [from, to] = [left, right]
        if (bottom !== top && left !== right) {
          const low = ax + (row - ay) * slope
          const high = low + slope
          from = Math.max(left, Math.floor(Math.min(low, high) - 1e-9))
          to = Math.min(right, Math.floor(Math.max(low, high) + 1e-9))
        }
        const start = Math.imul(row, stride)
        for (let column = from; column <= to; column++) entries.add((column + start) & mask, segment)
      }
    }
  }
}
