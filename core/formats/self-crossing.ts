import type { Layer } from '../geo/index.ts'

/** Pairs of edges that are looked at in one ring; beyond it nothing is claimed. Keeps a hostile ring from taking minutes. */
const MOST_PAIRS = 5_000_000

/**
 * Features whose polygons have a ring that crosses itself: its area counts lobes against each other.
 * Rings that only touch themselves are not among them.
 * Accuracy and cost: by the signs of straight edges between the vertices as they stand; near n log n a ring.
 */
export function findSelfCrossing({ geometry, featureCount }: Pick<Layer, 'geometry' | 'featureCount'>): number[] {
  const { coords, rings, parts, features, kinds } = geometry
  const found: number[] = []
  for (let feature = 0; feature < featureCount; feature++) {
    if (kinds[feature] !== 3) continue
    const [first, end] = [parts[features[feature]!]!, parts[features[feature + 1]!]!]
    for (let ring = first; ring < end; ring++) {
      if (!isCrossing(coords.subarray(2 * rings[ring]!, 2 * rings[ring + 1]!))) continue
      found.push(feature)
      break
    }
  }
  return found
}

/** Whether two edges of a closed ring cross; edges are met in the order of their western ends. */
function isCrossing(ring: Float64Array): boolean {
  const count = ring.length / 2 - 1
  if (count < 4) return false
  const west = (edge: number) => Math.min(ring[2 * edge]!, ring[2 * edge + 2]!)
  const east = (edge: number) => Math.max(ring[2 * edge]!, ring[2 * edge + 2]!)
  const order = Array.from({ length: count }, (_, edge) => edge).sort((a, b) => west(a) - west(b))
  let pairs = 0
  for (let i = 0; i < count; i++) {
    const edge = order[i]!
    const reach = east(edge)
    for (let j = i + 1; j < count && west(order[j]!) <= reach; j++) {
      if (++pairs > MOST_PAIRS) return false
      if (isCrossed(ring, 2 * edge, 2 * order[j]!)) return true
    }
  }
  return false
}

/** Whether the edges that start at two offsets cross inside both; edges with a common end do not. */
function isCrossed(ring: Float64Array, a: number, b: number): boolean {
  return sideOf(ring, a, b) * sideOf(ring, a, b + 2) < 0 && sideOf(ring, b, a) * sideOf(ring, b, a + 2) < 0
}

const sideOf = (ring: Float64Array, o: number, p: number): number =>
  Math.sign(
    (ring[o + 2]! - ring[o]!) * (ring[p + 1]! - ring[o + 1]!) - (ring[o + 3]! - ring[o + 1]!) * (ring[p]! - ring[o]!),
  )
