import type { FeatureShape } from '../desk-view.ts'
import type { Layer } from '../geo/index.ts'

/** A feature of more vertices is not outlined: its outline would cost more than it tells. */
const MOST_VERTICES = 20_000

/** One feature as its paths in degrees. Absent: null without a geometry, or with too many vertices to draw at once. */
export function shapeOfFeature({ geometry }: Layer, fid: number): FeatureShape | null {
  const [firstPart, endPart] = [geometry.features[fid]!, geometry.features[fid + 1]!]
  const [firstRing, endRing] = [geometry.parts[firstPart]!, geometry.parts[endPart]!]
  const vertices = geometry.rings[endRing]! - geometry.rings[firstRing]!
  if (vertices === 0 || vertices > MOST_VERTICES) return null
  const paths: Float64Array[] = []
  for (let ring = firstRing; ring < endRing; ring++) {
    paths.push(geometry.coords.slice(2 * geometry.rings[ring]!, 2 * geometry.rings[ring + 1]!))
  }
  return { isPoint: vertices === paths.length, paths }
}
