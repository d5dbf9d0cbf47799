import type { Rect } from './display-list.ts'

/**
 * The part of a closed ring inside a rectangle (pairs of x, y; no repeated end), empty when none.
 * Rings that leave the rectangle run along its rim, which a margin keeps out of sight.
 * Source: Sutherland and Hodgman (1974), Reentrant polygon clipping, doi:10.1145/360767.360802.
 */
export function clipRing(ring: Float64Array, rect: Rect): Float64Array {
  let points: number[] = Array.from(ring)
  for (let side = 0; side < 4 && points.length > 0; side++) points = clipToSide(points, rect, side)
  return Float64Array.from(points)
}

function clipToSide(points: readonly number[], rect: Rect, side: number): number[] {
  const axis = side % 2
  const limit = rect[side]!
  const sign = side < 2 ? 1 : -1
  const depth = (i: number) => sign * (points[i + axis]! - limit)
  const out: number[] = []
  let previous = points.length - 2
  for (let i = 0; i < points.length; i += 2) {
    const [a, b] = [depth(previous), depth(i)]
    if (a >= 0 !== b >= 0) {
      const t = a / (a - b)
      out.push(
        points[previous]! + t * (points[i]! - points[previous]!),
        points[previous + 1]! + t * (points[i + 1]! - points[previous + 1]!),
      )
    }
    if (b >= 0) out.push(points[i]!, points[i + 1]!)
    previous = i
  }
  return out
}

/** The pieces of an open path inside a rectangle. Source: Liang and Barsky (1984), doi:10.1145/357332.357333. */
export function clipPath(path: Float64Array, rect: Rect): Float64Array[] {
  const pieces: Float64Array[] = []
  let open: number[] = []
  const end = () => {
    if (open.length >= 4) pieces.push(Float64Array.from(open))
    open = []
  }
  for (let i = 0; i + 3 < path.length; i += 2) {
    const cut = clipSegment(path[i]!, path[i + 1]!, path[i + 2]!, path[i + 3]!, rect)
    if (cut === null) {
      end()
      continue
    }
    if (open.length === 0 || cut.starts > 0) {
      end()
      open.push(cut.line[0], cut.line[1])
    }
    open.push(cut.line[2], cut.line[3])
    if (cut.ends < 1) end()
  }
  end()
  return pieces
}

interface CutSegment {
  readonly starts: number
  readonly ends: number
  readonly line: readonly [number, number, number, number]
}

function clipSegment(x0: number, y0: number, x1: number, y1: number, rect: Rect): CutSegment | null {
  const [dx, dy] = [x1 - x0, y1 - y0]
  let [starts, ends] = [0, 1]
  const walls = [
    [-dx, x0 - rect[0]],
    [-dy, y0 - rect[1]],
    [dx, rect[2] - x0],
    [dy, rect[3] - y0],
  ] as const
  for (const [slope, room] of walls) {
    if (slope === 0) {
      if (room < 0) return null
    } else if (slope < 0) starts = Math.max(starts, room / slope)
    else ends = Math.min(ends, room / slope)
  }
  if (starts > ends) return null
  return { starts, ends, line: [x0 + starts * dx, y0 + starts * dy, x0 + ends * dx, y0 + ends * dy] }
}

/** The path without the vertices that lie within `tolerance` of the line through their neighbours kept. Source: Douglas and Peucker (1973), doi:10.3138/FM57-6770-U75U-7727. */
export function simplifyPath(path: Float64Array, tolerance: number): Float64Array {
  const count = path.length / 2
  if (count < 3) return path
  const keep = new Uint8Array(count)
  keep[0] = 1
  keep[count - 1] = 1
  const stack: [number, number][] = [[0, count - 1]]
  for (let span = stack.pop(); span !== undefined; span = stack.pop()) {
    const [first, last] = span
    const { index, distance } = farthestFrom(path, first, last)
    if (distance <= tolerance) continue
    keep[index] = 1
    stack.push([first, index], [index, last])
  }
  const out: number[] = []
  for (let i = 0; i < count; i++) if (keep[i] === 1) out.push(path[2 * i]!, path[2 * i + 1]!)
  return Float64Array.from(out)
}

function farthestFrom(path: Float64Array, first: number, last: number): { index: number; distance: number } {
  const [x0, y0] = [path[2 * first]!, path[2 * first + 1]!]
  const [dx, dy] = [path[2 * last]! - x0, path[2 * last + 1]! - y0]
  const length2 = dx * dx + dy * dy
  let [index, distance] = [first, 0]
  for (let i = first + 1; i < last; i++) {
    const [px, py] = [path[2 * i]! - x0, path[2 * i + 1]! - y0]
    const t = length2 === 0 ? 0 : Math.min(1, Math.max(0, (px * dx + py * dy) / length2))
    const off = Math.hypot(px - t * dx, py - t * dy)
    if (off > distance) [index, distance] = [i, off]
  }
  return { index, distance }
}
