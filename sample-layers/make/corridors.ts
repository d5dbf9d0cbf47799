import { buildField } from './noise.ts'
import { distance, lineLength, type Point, placeAlong } from './place.ts'
import { cos, sin, TAU } from './steady-math.ts'

/** A line sampled every `step` metres and smoothed, so that it can be widened without folding. */
function gentleLine(line: readonly Point[], from: number, to: number, step: number): Point[] {
  const count = Math.max(2, Math.round((to - from) / step))
  let points: Point[] = Array.from(
    { length: count + 1 },
    (_, k) => placeAlong(line, from + ((to - from) * k) / count).at,
  )
  for (let pass = 0; pass < 3; pass++)
    points = points.map((p, i) => {
      const [a, b] = [points[i - 1], points[i + 1]]
      return a && b ? [(a[0] + 2 * p[0] + b[0]) / 4, (a[1] + 2 * p[1] + b[1]) / 4] : p
    })
  return points
}

/** Ground on both sides of a line, as a ring: what a walk along it takes in, or what a flood covers. */
export function corridorRing(
  line: readonly Point[],
  from: number,
  to: number,
  step: number,
  halfWidth: (share: number) => number,
): Point[] {
  const middle = gentleLine(line, from, to, step)
  const side = (sign: number) =>
    middle.map((p, i): Point => {
      const [a, b] = [middle[Math.max(0, i - 1)] as Point, middle[Math.min(middle.length - 1, i + 1)] as Point]
      const length = distance(a, b)
      const width = sign * halfWidth(i / (middle.length - 1))
      return [p[0] - ((b[1] - a[1]) / length) * width, p[1] + ((b[0] - a[0]) / length) * width]
    })
  return [...side(-1), ...side(1).reverse()]
}

/** What a flood covers along a whole line, wider downstream and uneven. */
export function floodRing(line: readonly Point[], from: number, narrow: number, wide: number, seat: number): Point[] {
  const uneven = buildField('flood margin', 420)
  const length = lineLength(line)
  return corridorRing(
    line,
    from,
    length - 25,
    110,
    share => (narrow + (wide - narrow) * share) * (1 + 0.3 * uneven(share * (length - from), seat)),
  )
}

/** An uneven round patch of ground. */
export function roundRing(middle: Point, radius: number, corners: number, seat: number): Point[] {
  const uneven = buildField('margins', 60)
  return Array.from({ length: corners }, (_, k): Point => {
    const [c, s] = [cos((TAU * k) / corners), sin((TAU * k) / corners)]
    const r = radius * (1 + 0.25 * uneven(middle[0] + radius * c + seat * 5000, middle[1] + radius * s))
    return [middle[0] + r * c, middle[1] + r * s]
  })
}
