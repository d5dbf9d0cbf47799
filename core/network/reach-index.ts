import { measureDistance, measurePathLength } from '../geo/index.ts'
import type { Position, ReachNetwork, ReachPlace } from '../model/index.ts'
import { createTangentPlane } from './local-metres.ts'
import { buildSegmentRuns, findRunsNear } from './segment-runs.ts'

/** The reach nearest to a place, where on it, and how far off, metres. */
export interface ReachSnap extends ReachPlace {
  readonly distance: number
}

/** Asks a network for what is near a place; build it once for many questions. */
export interface ReachIndex {
  readonly network: ReachNetwork
  /** Nearest point of every reach within the distance, nearest first, the lower reach first among equals. */
  findNear(longitude: number, latitude: number, maxDistance: number): ReachSnap[]
  /** Reaches whose boxes meet a box in degrees, ascending. */
  findInBox(west: number, south: number, east: number, north: number): number[]
}

/** Accuracy and cost: distances to 1e-3 m; log n plus the segments near the place. */
export function createReachIndex(network: ReachNetwork): ReachIndex {
  const runs = buildSegmentRuns(network.coords, network.vertexOffsets)
  return {
    network,
    findNear(longitude, latitude, maxDistance) {
      const plane = createTangentPlane(longitude, latitude)
      const nearest = new Map<number, { place: number; away: number }>()
      for (const run of findRunsNear(runs, longitude, latitude, maxDistance * 1.01 + 1)) {
        const reach = runs.path[run]!
        let [bx, by] = plane.toPlane(...vertexAt(network, runs.start[run]!))
        for (let vertex = runs.start[run]!; vertex < runs.end[run]!; vertex++) {
          const [ax, ay] = [bx, by]
          ;[bx, by] = plane.toPlane(...vertexAt(network, vertex + 1))
          const [dx, dy] = [bx - ax, by - ay]
          const t = Math.min(1, Math.max(0, -(ax * dx + ay * dy) / (dx * dx + dy * dy)))
          const away = Math.hypot(ax + t * dx, ay + t * dy)
          const known = nearest.get(reach)
          if (!(known !== undefined && known.away <= away)) nearest.set(reach, { place: vertex + t, away })
        }
      }
      return [...nearest]
        .filter(([, { away }]) => away <= maxDistance)
        .sort(([a, near], [b, far]) => near.away - far.away || a - b)
        .map(([reach, { place, away }]) => ({ reach, fraction: fractionAt(network, reach, place), distance: away }))
    },
    findInBox(west, south, east, north) {
      const found = new Set(runs.index.search([west, south, east, north]).map(run => runs.path[run]!))
      return [...found].sort((a, b) => a - b)
    },
  }
}

/** The nearest point on a reach within the distance, or null. */
export function snapToReach(
  index: ReachIndex,
  longitude: number,
  latitude: number,
  maxDistance: number,
): ReachSnap | null {
  return index.findNear(longitude, latitude, maxDistance)[0] ?? null
}

function vertexAt(network: ReachNetwork, vertex: number): [number, number] {
  return [network.coords[2 * vertex]!, network.coords[2 * vertex + 1]!]
}

/** Share (0-1) of a reach's length that lies before a place given as vertex plus fraction of a segment. */
export function fractionAt(network: ReachNetwork, reach: number, place: number): number {
  const first = network.vertexOffsets[reach]!
  const vertex = Math.min(Math.floor(place), network.vertexOffsets[reach + 1]! - 2)
  const before = measurePathLength(network.coords.subarray(2 * first, 2 * vertex + 2))
  const segment = measureDistance(...vertexAt(network, vertex), ...vertexAt(network, vertex + 1))
  return Math.min(1, Math.max(0, (before + (place - vertex) * segment) / network.length[reach]!))
}

/** Where a place on a reach lies: the vertex its segment begins at, and the share (0-1) of that segment before it. */
export function findSegment(network: ReachNetwork, { reach, fraction }: ReachPlace): { vertex: number; t: number } {
  const last = network.vertexOffsets[reach + 1]! - 1
  let left = fraction * network.length[reach]!
  for (let vertex = network.vertexOffsets[reach]!; vertex < last; vertex++) {
    const segment = measureDistance(...vertexAt(network, vertex), ...vertexAt(network, vertex + 1))
    if (left <= segment || vertex === last - 1) return { vertex, t: Math.min(1, Math.max(0, left / segment)) }
    left -= segment
  }
  throw new Error(`Reach ${reach} has no segments`)
}

/** Longitude, latitude of a place on a reach. */
export function positionOfPlace(network: ReachNetwork, place: ReachPlace): Position {
  const { vertex, t } = findSegment(network, place)
  const [ax, ay] = vertexAt(network, vertex)
  const [bx, by] = vertexAt(network, vertex + 1)
  return [ax + t * (bx - ax), ay + t * (by - ay)]
}
