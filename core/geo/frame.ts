import type { Position } from '../model/units.ts'

/** A planar frame in metres in which the data are worked; plain functions over one projection. */
export interface WorkingFrame {
  /** `EPSG:n` where the frame is a registered one, else a PROJ text of a local transverse Mercator. */
  readonly crs: string
  readonly name: string
  /** Largest |scale - 1| over the data. */
  readonly scaleError: number
  toPlane(longitude: number, latitude: number): [x: number, y: number]
  toGlobe(x: number, y: number): Position
}
