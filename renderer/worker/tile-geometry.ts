/** Clipping and thinning in the units of a tile; paths are x0, y0, x1, y1 ... */

/** Edges of the tile with the margin that lines and hatches need beyond it. */
export interface Frame {
  readonly low: number
  readonly high: number
}

/** Douglas and Peucker's thinning: vertices farther than `tolerance` from the chord stay. Ends always stay. */
export function thinPath(path: readonly number[], tolerance: number): number[] {
  const count = path.length / 2
  if (count < 3) return [...path]
  const keep = new Uint8Array(count)
  keep[0] = 1
  keep[count - 1] = 1
  const spans: [number, number][] = [[0, count - 1]]
  for (let span = spans.pop(); span !== undefined; span = spans.pop()) {
    const [first, last] = span
    const at = farthestFromChord(path, first, last, tolerance)
    if (at < 0) continue
    keep[at] = 1
    spans.push([first, at], [at, last])
  }
  const thinned: number[] = []
  for (let i = 0; i < count; i++) if (keep[i] === 1) thinned.push(path[2 * i]!, path[2 * i + 1]!)
  return thinned
}

function farthestFromChord(path: readonly number[], first: number, last: number, tolerance: number): number {
  const [ax, ay] = [path[2 * first]!, path[2 * first + 1]!]
  const [dx, dy] = [path[2 * last]! - ax, path[2 * last + 1]! - ay]
  const lengthSquared = dx * dx + dy * dy
  let most = tolerance * tolerance
  let at = -1
  for (let i = first + 1; i < last; i++) {
    const [px, py] = [path[2 * i]! - ax, path[2 * i + 1]! - ay]
    const along = lengthSquared === 0 ? 0 : Math.min(1, Math.max(0, (px * dx + py * dy) / lengthSquared))
    const off = (px - along * dx) ** 2 + (py - along * dy) ** 2
    if (off > most) {
      most = off
      at = i
    }
  }
  return at
}

/** The pieces of a path inside the frame. Source: Liang and Barsky (1984), ACM Trans. Graph. 3(1):1-22. */
export function clipPath(path: readonly number[], frame: Frame): number[][] {
  const pieces: number[][] = []
  let piece: number[] = []
  for (let i = 0; i + 3 < path.length; i += 2) {
    const cut = clipSegment(path[i]!, path[i + 1]!, path[i + 2]!, path[i + 3]!, frame)
    if (cut === null) {
      piece = closePiece(pieces, piece)
      continue
    }
    const [x0, y0, x1, y1] = cut
    if (piece.at(-2) !== x0 || piece.at(-1) !== y0) {
      closePiece(pieces, piece)
      piece = [x0, y0]
    }
    piece.push(x1, y1)
  }
  closePiece(pieces, piece)
  return pieces
}

function closePiece(pieces: number[][], piece: number[]): number[] {
  if (piece.length >= 4) pieces.push(piece)
  return []
}

function clipSegment(x0: number, y0: number, x1: number, y1: number, frame: Frame) {
  const [dx, dy] = [x1 - x0, y1 - y0]
  let [enter, leave] = [0, 1]
  const edges = [
    [-dx, x0 - frame.low],
    [dx, frame.high - x0],
    [-dy, y0 - frame.low],
    [dy, frame.high - y0],
  ] as const
  for (const [slope, room] of edges) {
    if (slope === 0) {
      if (room < 0) return null
      continue
    }
    const at = room / slope
    if (slope < 0) enter = Math.max(enter, at)
    else leave = Math.min(leave, at)
  }
  if (enter > leave) return null
  return [x0 + enter * dx, y0 + enter * dy, x0 + leave * dx, y0 + leave * dy] as const
}

/** The ring inside the frame, closed; empty where nothing is left. Source: Sutherland and Hodgman (1974), CACM 17(1):32-42. */
export function clipRing(ring: readonly number[], frame: Frame): number[] {
  let shape = ring.slice(0, -2)
  for (const axis of [0, 1] as const) {
    shape = clipAgainst(shape, axis, frame.low, 1)
    shape = clipAgainst(shape, axis, frame.high, -1)
  }
  if (shape.length >= 6) shape.push(shape[0]!, shape[1]!)
  return shape.length >= 8 ? shape : []
}

function clipAgainst(shape: readonly number[], axis: 0 | 1, edge: number, side: 1 | -1): number[] {
  const kept: number[] = []
  const count = shape.length / 2
  for (let i = 0; i < count; i++) {
    const j = (i + 1) % count
    const [a, b] = [shape[2 * i + axis]!, shape[2 * j + axis]!]
    const [isInA, isInB] = [(a - edge) * side >= 0, (b - edge) * side >= 0]
    if (isInA) kept.push(shape[2 * i]!, shape[2 * i + 1]!)
    if (isInA === isInB) continue
    const share = (edge - a) / (b - a)
    const other = shape[2 * i + 1 - axis]! + share * (shape[2 * j + 1 - axis]! - shape[2 * i + 1 - axis]!)
    if (axis === 0) kept.push(edge, other)
    else kept.push(other, edge)
  }
  return kept
}

/** Twice the signed area; positive where the ring runs clockwise on a y-down page. */
export function twiceArea(ring: readonly number[]): number {
  let sum = 0
  for (let i = 0; i + 3 < ring.length; i += 2) sum += ring[i]! * ring[i + 3]! - ring[i + 2]! * ring[i + 1]!
  return sum
}

/** Whole tile units, without vertices that fall on the one before. */
export function roundPath(path: readonly number[]): number[] {
  const rounded: number[] = []
  for (let i = 0; i < path.length; i += 2) {
    const [x, y] = [Math.round(path[i]!), Math.round(path[i + 1]!)]
    if (rounded.length === 0 || x !== rounded.at(-2) || y !== rounded.at(-1)) rounded.push(x, y)
  }
  return rounded
}

export const reversePath = (path: readonly number[]): number[] => {
  const turned: number[] = []
  for (let i = path.length - 2; i >= 0; i -= 2) turned.push(path[i]!, path[i + 1]!)
  return turned
}
