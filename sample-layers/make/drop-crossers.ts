import type { Point } from './place.ts'
import type { Stream } from './streams.ts'

/** Leaves out small streams that, once swung into bends, cross another one. What joined them is left out with them. */
export function dropCrossers(streams: readonly Stream[]): Stream[] {
  const doomed = new Set<number>()
  for (const [a, b] of crossingPairs(streams)) if (!doomed.has(a) && !doomed.has(b)) doomed.add(Math.max(a, b))
  streams.forEach((stream, i) => {
    if (doomed.has(stream.joins)) doomed.add(i)
  })
  const place = new Map<number, number>()
  streams.forEach((_, i) => {
    if (!doomed.has(i)) place.set(i, place.size)
  })
  return streams
    .filter((_, i) => !doomed.has(i))
    .map(stream => ({ ...stream, joins: stream.joins < 0 ? -1 : (place.get(stream.joins) as number) }))
}

interface Segment {
  readonly stream: number
  readonly a: Point
  readonly b: Point
  readonly west: number
  readonly east: number
}

function crossingPairs(streams: readonly Stream[]): [number, number][] {
  const segments: Segment[] = streams.flatMap((stream, s) =>
    stream.points.slice(1).map((b, k) => {
      const a = stream.points[k] as Point
      return { stream: s, a, b, west: Math.min(a[0], b[0]), east: Math.max(a[0], b[0]) }
    }),
  )
  segments.sort((m, n) => m.west - n.west || m.stream - n.stream)
  const pairs: [number, number][] = []
  segments.forEach((m, i) => {
    for (let j = i + 1; j < segments.length; j++) {
      const n = segments[j] as Segment
      if (n.west > m.east) break
      if (m.stream !== n.stream && isCrossing(m, n)) pairs.push([m.stream, n.stream])
    }
  })
  return pairs.sort((m, n) => m[0] - n[0] || m[1] - n[1])
}

/** Whether two segments cross inside; a shared end does not count. */
function isCrossing(m: Segment, n: Segment): boolean {
  const side = (p: Point, q: Point, r: Point) => (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
  return side(m.a, m.b, n.a) * side(m.a, m.b, n.b) < -1e-6 && side(n.a, n.b, m.a) * side(n.a, n.b, m.b) < -1e-6
}
