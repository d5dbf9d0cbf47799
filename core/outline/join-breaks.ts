import { createBoxIndex, isInside } from '../geo/index.ts'
import type { Box, MultiPolygon } from '../model/index.ts'

/** Wide water and barriers that patches are not joined across, ready to be asked often. */
export interface JoinBreaks {
  /** Whether a line leads into a break and out again. */
  arePassed(x1: number, y1: number, x2: number, y2: number): boolean
  /** The breaks that lie in a box, whole. */
  within(box: Box): MultiPolygon
}

/** Indexes the edges of breaks; null where there are none. */
export function prepareJoinBreaks(breaks: MultiPolygon | null): JoinBreaks | null {
  if (breaks === null || breaks.length === 0) return null
  const edges: number[] = []
  const boxes: number[] = []
  const owner: number[] = []
  for (const [p, polygon] of breaks.entries()) {
    for (const ring of polygon) {
      for (let i = 0; i + 3 < ring.length; i += 2) {
        const [ax, ay, bx, by] = [ring[i]!, ring[i + 1]!, ring[i + 2]!, ring[i + 3]!]
        edges.push(ax, ay, bx, by)
        boxes.push(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by))
        owner.push(p)
      }
    }
  }
  const index = createBoxIndex(Float64Array.from(boxes))
  return {
    arePassed(x1, y1, x2, y2) {
      const crossings = new Map<number, number>()
      for (const e of index.search([Math.min(x1, x2), Math.min(y1, y2), Math.max(x1, x2), Math.max(y1, y2)])) {
        if (!isCrossing([x1, y1, x2, y2], edges, 4 * e)) continue
        const count = (crossings.get(owner[e]!) ?? 0) + 1
        if (count >= 2) return true
        crossings.set(owner[e]!, count)
      }
      return false
    },
    within(box) {
      const met = new Set(index.search(box).map(e => owner[e]!))
      return breaks.filter((polygon, p) => met.has(p) || isInside([polygon], box[0], box[1]))
    },
  }
}

/** Half-open at the edge's ends, so that a line through a vertex crosses once. */
function isCrossing(
  [x1, y1, x2, y2]: readonly [number, number, number, number],
  edges: readonly number[],
  at: number,
): boolean {
  const side = (px: number, py: number) => (x2 - x1) * (py - y1) - (y2 - y1) * (px - x1) > 0
  const [ax, ay, bx, by] = [edges[at]!, edges[at + 1]!, edges[at + 2]!, edges[at + 3]!]
  if (side(ax, ay) === side(bx, by)) return false
  const other = (px: number, py: number) => (bx - ax) * (py - ay) - (by - ay) * (px - ax) > 0
  return other(x1, y1) !== other(x2, y2)
}
