import { type Geometry, geometryBounds } from '../geo/index.ts'
import type { Box } from '../model/geometry.ts'

/**
 * West, south, east, north of a geometry in degrees; west > east where it lies across the antimeridian: where all of it
 * fits in less than half the globe that way only. An edge of over 180 degrees of longitude goes the short way.
 * Source: RFC 7946, section 5.2.
 */
export function boundsOnGlobe(geometry: Geometry): Box | undefined {
  const plain = geometryBounds(geometry)
  if (plain === undefined || plain[2] - plain[0] <= 180) return plain
  const spans = mergeSpans(longitudeSpans(geometry))
  let [west, east, gap] = [plain[0], plain[2], 0]
  for (let i = 1; i < spans.length; i++) {
    const width = spans[i]![0] - spans[i - 1]![1]
    if (width > gap) [west, east, gap] = [spans[i]![0], spans[i - 1]![1], width]
  }
  return gap > 180 ? [west, plain[1], east, plain[3]] : plain
}

type Span = readonly [from: number, to: number]

/** The longitudes that each edge (or point) covers, cut at the antimeridian. */
function longitudeSpans({ coords, rings }: Geometry): Span[] {
  const spans: Span[] = []
  for (let ring = 0; ring + 1 < rings.length; ring++) {
    const [from, to] = [rings[ring]!, rings[ring + 1]!]
    if (to - from === 1) spans.push([coords[2 * from]!, coords[2 * from]!])
    for (let i = from; i + 1 < to; i++) {
      const [a, b] = [coords[2 * i]!, coords[2 * i + 2]!]
      const [low, high] = [Math.min(a, b), Math.max(a, b)]
      if (high - low > 180 && high - low < 360) spans.push([-180, low], [high, 180])
      else spans.push([low, high])
    }
  }
  return spans
}

function mergeSpans(spans: Span[]): Span[] {
  const merged: [number, number][] = []
  for (const [from, to] of spans.sort((a, b) => a[0] - b[0])) {
    const last = merged.at(-1)
    if (last && from <= last[1]) last[1] = Math.max(last[1], to)
    else merged.push([from, to])
  }
  return merged
}
