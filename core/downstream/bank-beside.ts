import { measureDistance } from '../geo/index.ts'
import type { MultiPolygon } from '../model/index.ts'
import { createTangentPlane, type ReachIndex } from '../network/index.ts'
import { boundsOf, distanceToShape, flattenEdges, isBoxNear } from './patch-water.ts'

/** Stretches are measured in steps of at most this length, metres. */
const STEP = 2

/** Length of each reach that lies inside polygons in degrees or within the bank distance of them; ascending by reach, none of length 0. Accuracy: 2 m an end of a stretch. */
export function findBankBeside(
  index: ReachIndex,
  outline: MultiPolygon,
  bank: number,
): { reach: number; length: number }[] {
  const bounds = boundsOf(outline)
  if (bounds === undefined) return []
  const [west, south, east, north] = bounds
  const plane = createTangentPlane((west + east) / 2, (south + north) / 2)
  const shape = flattenEdges(outline, plane)
  const dy = (bank + 1) / 110_500
  const dx = dy / Math.max(0.01, Math.cos((Math.max(Math.abs(south), Math.abs(north)) * Math.PI) / 180))
  const { coords, vertexOffsets } = index.network
  const beside: { reach: number; length: number }[] = []
  for (const reach of index.findInBox(west - dx, south - dy, east + dx, north + dy)) {
    let length = 0
    for (let i = vertexOffsets[reach]!; i < vertexOffsets[reach + 1]! - 1; i++) {
      const [ax, ay] = plane.toPlane(coords[2 * i]!, coords[2 * i + 1]!)
      const [bx, by] = plane.toPlane(coords[2 * i + 2]!, coords[2 * i + 3]!)
      if (!isBoxNear(shape, ax, ay, bx, by, bank)) continue
      const whole = measureDistance(coords[2 * i]!, coords[2 * i + 1]!, coords[2 * i + 2]!, coords[2 * i + 3]!)
      const steps = Math.max(1, Math.ceil(whole / STEP))
      for (let k = 0; k < steps; k++) {
        const t = (k + 0.5) / steps
        if (distanceToShape(shape, ax + t * (bx - ax), ay + t * (by - ay), bank) <= bank) length += whole / steps
      }
    }
    if (length > 0) beside.push({ reach, length })
  }
  return beside
}
