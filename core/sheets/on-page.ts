import type { MultiPolygon, Path } from '../model/geometry.ts'
import { clipPath, clipRing, simplifyPath } from './clip.ts'
import type { Rect } from './display-list.ts'
import type { PageTransform } from './page-transform.ts'

/** 0.05 mm on paper: below what a printer shows. */
const TOLERANCE = (0.05 / 25.4) * 72
/** Cut polygons keep this much outside the frame, so that their cut edges stay out of sight; it holds no ground that the frame does not nearly show. */
const RIM = 6

/** Degrees -> page points, cut to the map frame: what lies outside leaves no trace in the file. */
export function polygonOnPage(shape: MultiPolygon, transform: PageTransform): Float64Array[] {
  const rect = grown(transform.box, RIM)
  const rings: Float64Array[] = []
  for (const polygon of shape) {
    for (const ring of polygon) {
      const line = simplifyPath(pathToPage(ring, transform), TOLERANCE)
      const open = line.length > 2 ? line.subarray(0, -2) : line
      const cut = isWithin(open, rect) ? open : clipRing(open, rect)
      if (cut.length >= 6) rings.push(cut)
    }
  }
  return rings
}

export function lineOnPage(path: Path, transform: PageTransform): Float64Array[] {
  const line = pathToPage(path, transform)
  const pieces = isWithin(line, transform.box) && line.length > 2 ? [line] : clipPath(line, transform.box)
  return pieces.map(piece => simplifyPath(piece, TOLERANCE))
}

/** Whether nothing of a line has to be cut off; most lines of a map lie inside. */
function isWithin(line: Float64Array, [left, top, right, bottom]: Rect): boolean {
  for (let i = 0; i < line.length; i += 2) {
    if (!(line[i]! >= left && line[i]! <= right && line[i + 1]! >= top && line[i + 1]! <= bottom)) return false
  }
  return true
}

function pathToPage(path: Path, transform: PageTransform): Float64Array {
  const out = new Float64Array(path.length)
  for (let i = 0; i < path.length; i += 2) {
    const [x, y] = transform.positionToPage(path[i]!, path[i + 1]!)
    out[i] = x
    out[i + 1] = y
  }
  return out
}

export const grown = ([left, top, right, bottom]: Rect, by: number): Rect => [
  left - by,
  top - by,
  right + by,
  bottom + by,
]

export const isInside = (x: number, y: number, [left, top, right, bottom]: Rect): boolean =>
  x >= left && x <= right && y >= top && y <= bottom

/** Bounds of lines on the page. */
export function boundsOf(lines: readonly Float64Array[]): Rect {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const line of lines) {
    for (let i = 0; i < line.length; i += 2) {
      left = Math.min(left, line[i]!)
      right = Math.max(right, line[i]!)
      top = Math.min(top, line[i + 1]!)
      bottom = Math.max(bottom, line[i + 1]!)
    }
  }
  return [left, top, right, bottom]
}
