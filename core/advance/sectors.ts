import type { Patch, SectorEdge } from '../model/index.ts'
import { weightedQuantile } from '../stats/index.ts'
import { walkOuterRings } from './boundary-points.ts'
import type { Origins } from './origins.ts'

export interface SectorInput {
  readonly season: string
  readonly patches: readonly Patch[]
  readonly origins: Origins
  readonly sectors: number
  readonly step: number
}

/**
 * Farthest and 95th-percentile edge from the origin in each sector, clockwise from true north; of several origins each
 * place counts from its nearest. The quantile is over places every `step` metres of boundary; the farthest counts
 * vertices too.
 */
export function measureSectors(input: SectorInput): SectorEdge[] {
  const { season, sectors, step, origins } = input
  const width = 360 / sectors
  const found = Array.from({ length: sectors }, () => ({ max: -1, distances: [] as number[], weights: [] as number[] }))
  const locate = (x: number, y: number) => {
    const { distance, azimuth } = origins.locate(x, y)
    const sector = found[sectorOf(azimuth, sectors)]!
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
function farthestVertices(patch: Patch, { origins, sectors }: SectorInput): (readonly [number, number])[] {
  const best = new Map<number, { readonly place: readonly [number, number]; readonly distance: number }>()
  for (const part of patch.planar) {
    const ring = part[0] ?? new Float64Array()
    for (let i = 0; i < ring.length; i += 2) {
      const [x, y] = [ring[i]!, ring[i + 1]!]
      const { distance, azimuth } = origins.locateRoughly(x, y)
      const sector = sectorOf(azimuth, sectors)
      if (distance > (best.get(sector)?.distance ?? -1)) best.set(sector, { place: [x, y], distance })
    }
  }
  return [...best.values()].map(({ place }) => place)
}

/** Number of the sector that holds an azimuth in degrees, whatever turns it carries. */
export function sectorOf(azimuth: number, sectors: number): number {
  const turned = ((azimuth % 360) + 360) % 360
  return Math.min(sectors - 1, Math.floor((turned / 360) * sectors))
}
