import type { TextOperator } from './display-list.ts'

/** A straight enough stretch of a line for a name of a given width. */
interface Stretch {
  readonly x: number
  readonly y: number
  readonly angle: number
  readonly bend: number
}

/** Pieces joined end to end into longer lines; pieces meet within 0.05 pt. Order of the input decides nothing but ties. */
export function joinPieces(pieces: readonly Float64Array[]): Float64Array[] {
  const key = (x: number, y: number) => `${Math.round(x * 20)},${Math.round(y * 20)}`
  const startsAt = new Map<string, number[]>()
  for (const [i, piece] of pieces.entries()) {
    const start = key(piece[0]!, piece[1]!)
    startsAt.set(start, [...(startsAt.get(start) ?? []), i])
  }
  const hasBefore = new Set(pieces.map(piece => key(piece.at(-2)!, piece.at(-1)!)))
  const used = new Set<number>()
  const chains: Float64Array[] = []
  const follow = (first: number) => {
    const points: number[] = []
    for (let next: number | undefined = first; next !== undefined; ) {
      used.add(next)
      const piece: Float64Array = pieces[next]!
      points.push(...(points.length === 0 ? piece : piece.subarray(2)))
      next = startsAt.get(key(piece.at(-2)!, piece.at(-1)!))?.find(i => !used.has(i))
    }
    chains.push(Float64Array.from(points))
  }
  for (const [i, piece] of pieces.entries()) if (!used.has(i) && !hasBefore.has(key(piece[0]!, piece[1]!))) follow(i)
  for (const i of pieces.keys()) if (!used.has(i)) follow(i)
  return chains
}

/**
 * Places for a name along a line, straightest first, just above it and readable from below or from the right.
 * Empty where the line has no stretch long enough that bends by less than `most` points.
 */
export function namePlaces(
  line: Float64Array,
  base: Omit<TextOperator, 'op' | 'x' | 'y' | 'align' | 'angle'>,
  width: number,
  most = 3.2,
): TextOperator[] {
  const at = measureAlong(line)
  const total = at.length
  const found: Stretch[] = []
  for (let start = 4; start + width + 4 <= total; start += Math.max(6, width / 6)) {
    const stretch = stretchFrom(at, start, width)
    if (stretch.bend <= most) found.push(stretch)
  }
  found.sort((a, b) => a.bend - b.bend)
  return found.slice(0, 24).flatMap(({ x, y, angle, bend }) =>
    [-(2.6 + bend), 2.6 + bend + base.size * 0.72].map(off => {
      const turn = (angle * Math.PI) / 180
      return {
        op: 'text' as const,
        ...base,
        x: x - off * Math.sin(turn),
        y: y + off * Math.cos(turn),
        align: 'middle' as const,
        angle,
      }
    }),
  )
}

function measureAlong(line: Float64Array) {
  const sums = [0]
  for (let i = 2; i < line.length; i += 2) {
    sums.push(sums.at(-1)! + Math.hypot(line[i]! - line[i - 2]!, line[i + 1]! - line[i - 1]!))
  }
  let hint = 0
  const point = (distance: number): [number, number] => {
    if (sums[hint]! > distance) hint = 0
    while (hint + 2 < sums.length && sums[hint + 1]! < distance) hint++
    const [a, b] = [sums[hint]!, sums[hint + 1] ?? sums[hint]!]
    const t = b > a ? (distance - a) / (b - a) : 0
    const i = hint * 2
    return [
      line[i]! + t * ((line[i + 2] ?? line[i]!) - line[i]!),
      line[i + 1]! + t * ((line[i + 3] ?? line[i + 1]!) - line[i + 1]!),
    ]
  }
  return { length: sums.at(-1)!, point }
}

function stretchFrom(at: ReturnType<typeof measureAlong>, start: number, width: number): Stretch {
  const steps = 12
  const points = Array.from({ length: steps + 1 }, (_, k) => at.point(start + (width * k) / steps))
  const [[x0, y0], [x1, y1]] = [points[0]!, points[steps]!]
  const chord = Math.hypot(x1 - x0, y1 - y0) || 1e-9
  const off = points.map(([x, y]) => ((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / chord)
  // A chord much shorter than the line means that the line doubles back.
  const bend = Math.max(...off.map(Math.abs)) + (width - chord)
  let angle = (Math.atan2(y1 - y0, x1 - x0) * 180) / Math.PI
  if (angle > 90) angle -= 180
  if (angle <= -90) angle += 180
  return { x: (x0 + x1) / 2, y: (y0 + y1) / 2, angle, bend }
}
