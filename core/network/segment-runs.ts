import { type BoxIndex, createBoxIndex } from '../geo/index.ts'
import { localMetresAt } from './local-metres.ts'

/** Segments a run: fewer make the index bigger, more make it coarser. */
const SEGMENTS_A_RUN = 12

/**
 * Runs of consecutive segments of paths in a spatial index, so that a million lines need no box a segment.
 * Shapes: run i holds the segments that begin at vertices start[i] .. end[i] - 1 of path[i].
 */
export interface SegmentRuns {
  readonly path: Uint32Array
  readonly start: Uint32Array
  readonly end: Uint32Array
  readonly boxes: Float64Array
  readonly index: BoxIndex
}

export function buildSegmentRuns(coords: Float64Array, offsets: Uint32Array): SegmentRuns {
  const pathCount = offsets.length - 1
  let count = 0
  for (let path = 0; path < pathCount; path++) {
    count += Math.ceil((offsets[path + 1]! - offsets[path]! - 1) / SEGMENTS_A_RUN)
  }
  const runs = { path: new Uint32Array(count), start: new Uint32Array(count), end: new Uint32Array(count) }
  const boxes = new Float64Array(4 * count)
  let run = 0
  for (let path = 0; path < pathCount; path++) {
    const last = offsets[path + 1]! - 1
    for (let start = offsets[path]!; start < last; start += SEGMENTS_A_RUN, run++) {
      const end = Math.min(last, start + SEGMENTS_A_RUN)
      runs.path[run] = path
      runs.start[run] = start
      runs.end[run] = end
      fillBox(coords, start, end, boxes, 4 * run)
    }
  }
  return { ...runs, boxes, index: createBoxIndex(boxes) }
}

function fillBox(coords: Float64Array, start: number, end: number, boxes: Float64Array, at: number): void {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity]
  for (let i = start; i <= end; i++) {
    const [x, y] = [coords[2 * i]!, coords[2 * i + 1]!]
    if (x < west) west = x
    if (x > east) east = x
    if (y < south) south = y
    if (y > north) north = y
  }
  boxes[at] = west
  boxes[at + 1] = south
  boxes[at + 2] = east
  boxes[at + 3] = north
}

/** The runs whose boxes come within `distance` metres of a place, in ascending order. */
export function findRunsNear(runs: SegmentRuns, longitude: number, latitude: number, distance: number): number[] {
  const scale = localMetresAt(Math.min(89.9, Math.abs(latitude) + distance / 111_000))
  const [dx, dy] = [distance / scale.x, distance / scale.y]
  return runs.index.search([longitude - dx, latitude - dy, longitude + dx, latitude + dy])
}
