import { azimuthBetween, measureDistance, signedRingArea, type WorkingFrame } from '../geo/index.ts'
import type { Patch, SectorEdge } from '../model/index.ts'
import { weightedQuantile } from '../stats/index.ts'
import { walkOuterRings } from './boundary-points.ts'

/** Area centroid of a patch in the working frame. */
export function centroidOf(patch: Pick<Patch, 'planar'>): readonly [x: number, y: number] {
  let [area, sumX, sumY] = [0, 0, 0]
  for (const ring of patch.planar.flat()) {
    // Holes run clockwise, so that their share is taken off by itself.
    const own = signedRingArea(ring)
    const [x, y] = ringCentroid(ring, own)
    area += own
    sumX += own * x
    sumY += own * y
  }
  return [sumX / area, sumY / area]
}

function ringCentroid(ring: Float64Array, area: number): readonly [number, number] {
  let [sumX, sumY] = [0, 0]
  const [x0, y0] = [ring[0]!, ring[1]!]
  for (let i = 2; i < ring.length; i += 2) {
    const [x1, y1, x2, y2] = [ring[i - 2]! - x0, ring[i - 1]! - y0, ring[i]! - x0, ring[i + 1]! - y0]
    const cross = x1 * y2 - x2 * y1
    sumX += (x1 + x2) * cross
    sumY += (y1 + y2) * cross
  }
  return area === 0 ? [x0, y0] : [x0 + sumX / (6 * area), y0 + sumY / (6 * area)]
}

export interface SectorInput {
  readonly season: string
  readonly patches: readonly Patch[]
  readonly origin: readonly [longitude: number, latitude: number]
  readonly sectors: number
  readonly step: number
  readonly frame: WorkingFrame
}

/**
 * Farthest and 95th-percentile edge from the origin in each sector, clockwise from true north.
 * The quantile is over places every `step` metres of boundary; the farthest counts vertices too.
 */
export function measureSectors(input: SectorInput): SectorEdge[] {
  const { season, sectors, step, frame, origin } = input
  const width = 360 / sectors
  const found = Array.from({ length: sectors }, () => ({ max: -1, distances: [] as number[], weights: [] as number[] }))
  const locate = (x: number, y: number) => {
    const place = frame.toGlobe(x, y)
    const sector = found[sectorOf(azimuthBetween(...origin, ...place), sectors)]!
    const distance = measureDistance(...origin, ...place)
    sector.max = Math.max(sector.max, distance)
    return { sector, distance }
  }
  for (const patch of input.patches) {
    for (const point of walkOuterRings(patch.planar, step)) {
      const { sector, distance } = locate(point.x, point.y)
      sector.distances.push(distance)
      sector.weights.push(point.weight)
    }
    for (const [x, y] of farthestVertices(patch, input)) locate(x, y)
  }
  return found.map(({ max, distances, weights }, i) => ({
    season,
    azimuthFrom: i * width,
    azimuthTo: (i + 1) * width,
    max: max < 0 ? null : max,
    p95: distances.length === 0 ? null : weightedQuantile(distances, weights, 0.95),
  }))
}

/** The farthest vertex of a patch in each sector by plane geometry: few enough to be measured on the ellipsoid. */
function farthestVertices(patch: Patch, { frame, origin, sectors }: SectorInput): (readonly [number, number])[] {
  const [x0, y0] = frame.toPlane(...origin)
  const north = azimuthBetween(...origin, ...frame.toGlobe(x0, y0 + 1000))
  const best = new Map<number, { readonly place: readonly [number, number]; readonly square: number }>()
  for (const part of patch.planar) {
    const ring = part[0] ?? new Float64Array()
    for (let i = 0; i < ring.length; i += 2) {
      const [dx, dy] = [ring[i]! - x0, ring[i + 1]! - y0]
      const sector = sectorOf(north + (Math.atan2(dx, dy) * 180) / Math.PI, sectors)
      const square = dx * dx + dy * dy
      if (square > (best.get(sector)?.square ?? -1)) best.set(sector, { place: [ring[i]!, ring[i + 1]!], square })
    }
  }
  return [...best.values()].map(({ place }) => place)
}

/** Number of the sector that holds an azimuth in degrees, whatever turns it carries. */
function sectorOf(azimuth: number, sectors: number): number {
  const turned = ((azimuth % 360) + 360) % 360
  return Math.min(sectors - 1, Math.floor((turned / 360) * sectors))
}
