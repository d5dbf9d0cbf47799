import type { MultiPolygon, Polygon, Ring } from '../model/index.ts'

/** Places along a boundary; each stands for `weight` metres of it. */
export interface BoundaryPoint {
  readonly x: number
  readonly y: number
  readonly weight: number
}

/**
 * Places along a closed ring: max(1, round(perimeter / step)) equal steps from the vertex with the smallest (x, y),
 * the first half a step on. The same ring gives the same places wherever it starts.
 */
export function walkRing(ring: Ring, step: number): BoundaryPoint[] {
  const corners = ring.length / 2 - 1
  if (corners < 3) return []
  const start = smallestVertex(ring, corners)
  const edge = (i: number) => {
    const [a, b] = [(start + i) % corners, (start + i + 1) % corners]
    return [ring[2 * a]!, ring[2 * a + 1]!, ring[2 * b]!, ring[2 * b + 1]!] as const
  }
  let perimeter = 0
  for (let i = 0; i < corners; i++) perimeter += edgeLength(edge(i))
  const count = Math.max(1, Math.round(perimeter / step))
  const weight = perimeter / count
  const points: BoundaryPoint[] = []
  let walked = 0
  for (let i = 0; i < corners && points.length < count; i++) {
    const [x1, y1, x2, y2] = edge(i)
    const length = edgeLength([x1, y1, x2, y2])
    while (points.length < count && (points.length + 0.5) * weight <= walked + length) {
      const part = length === 0 ? 0 : ((points.length + 0.5) * weight - walked) / length
      points.push({ x: x1 + part * (x2 - x1), y: y1 + part * (y2 - y1), weight })
    }
    walked += length
  }
  return points
}

/** Places along the outer ring of one part. */
export const walkPart = (part: Polygon, step: number): BoundaryPoint[] => (part[0] ? walkRing(part[0], step) : [])

/** Places along the outer rings of all parts. */
export const walkOuterRings = (shape: MultiPolygon, step: number): BoundaryPoint[] =>
  shape.flatMap(part => walkPart(part, step))

const edgeLength = ([x1, y1, x2, y2]: readonly [number, number, number, number]): number => Math.hypot(x2 - x1, y2 - y1)

function smallestVertex(ring: Ring, corners: number): number {
  let best = 0
  for (let i = 1; i < corners; i++) {
    const isSmaller =
      ring[2 * i]! < ring[2 * best]! || (ring[2 * i] === ring[2 * best] && ring[2 * i + 1]! < ring[2 * best + 1]!)
    if (isSmaller) best = i
  }
  return best
}
