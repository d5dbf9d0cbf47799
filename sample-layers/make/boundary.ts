import { buildField } from './noise.ts'
import { between, distance, FRAME, type Point } from './place.ts'

/** Corners of the programme boundary, metres from the south-west corner of the frame; the last column: follows a ridge. */
const CORNERS: readonly (readonly [number, number, boolean])[] = [
  [560, 470, false],
  [7150, 395, false],
  [7170, 610, false],
  [12480, 560, false],
  [12560, 6900, false],
  [12190, 6910, false],
  [12230, 9180, true],
  [8900, 9560, true],
  [5200, 9400, true],
  [610, 9510, false],
]

/** The county line: survey lines on three sides, a wandering ridge in the north. Anticlockwise, closed. */
export function buildBoundary(): Point[] {
  const wander = buildField('county line', 900)
  const corners = CORNERS.map(([x, y, isRidge]) => ({ at: [FRAME.west + x, FRAME.south + y] as Point, isRidge }))
  const ring: Point[] = []
  corners.forEach(({ at, isRidge }, i) => {
    const next = corners[(i + 1) % corners.length]?.at as Point
    const length = distance(at, next)
    const steps = isRidge ? Math.round(length / 110) : 1
    for (let s = 0; s < steps; s++) {
      const t = s / steps
      const [x, y] = between(at, next, t)
      const sway = isRidge ? 190 * wander(t * length + i * 5000, 0) * Math.min(1, 6 * t, 6 * (1 - t)) : 0
      ring.push([x, y + sway])
    }
  })
  ring.push(ring[0] as Point)
  return ring
}
