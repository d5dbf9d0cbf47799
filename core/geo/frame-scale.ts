import { type Degrees, degrees } from '../model/units.ts'
import type { WorkingFrame } from './frame.ts'
import { WGS84 } from './transverse-mercator.ts'

/** Half the step of the differences, degrees: about 11 m, where rounding and curvature both stay under 1e-11. */
const STEP = 1e-4
const DEGREE = Math.PI / 180
const E2 = (2 - 1 / WGS84.inverseFlattening) / WGS84.inverseFlattening

/**
 * Angle from true north to the frame's north, clockwise positive (east of the central meridian, northern hemisphere).
 * Accuracy: 1e-8 degree, by central differences along the meridian.
 */
export function gridConvergence(frame: WorkingFrame, longitude: number, latitude: number): Degrees {
  const [dx, dy] = stepNorth(frame, longitude, latitude)
  return degrees(Math.atan2(-dx, dy) / DEGREE)
}

/**
 * Metres in the plane for one metre on the ground, along the meridian (in every direction where the frame is conformal).
 * Accuracy: 1e-10, by central differences against the meridian's radius of curvature.
 */
export function pointScale(frame: WorkingFrame, longitude: number, latitude: number): number {
  const [dx, dy] = stepNorth(frame, longitude, latitude)
  const sine = Math.sin(latitude * DEGREE)
  const meridianRadius = (WGS84.a * (1 - E2)) / (1 - E2 * sine * sine) ** 1.5
  return Math.hypot(dx, dy) / (2 * STEP * DEGREE * meridianRadius)
}

function stepNorth(frame: WorkingFrame, longitude: number, latitude: number): [dx: number, dy: number] {
  const [x1, y1] = frame.toPlane(longitude, latitude - STEP)
  const [x2, y2] = frame.toPlane(longitude, latitude + STEP)
  return [x2 - x1, y2 - y1]
}
