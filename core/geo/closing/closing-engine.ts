import type { MultiPolygon } from '../../model/geometry.ts'
import type { Circles } from './circles.ts'

/** How the closing of discs is made. Every method gives the same shape up to its chord error. */
export interface ClosingEngine {
  /**
   * The closing of discs by `half` (half the join distance): grown by it, unioned, shrunk by it. With 0: their union.
   * Holes below `minimumHole` (square metres) are filled, parts that hold no disc left out.
   */
  close(discs: Circles, options: ClosingOptions): Closing
  /** Its area alone, for the many draws of an interval. */
  closedArea(discs: Circles, half: number): number
}

export interface ClosingOptions {
  readonly half: number
  readonly minimumHole: number
}

export interface Closing {
  readonly shape: MultiPolygon
  /** Parts that were left out because no disc lies in them. */
  readonly emptyParts: number
}

/** Voids of grown discs narrower than this count as filled, metres: the frame's scale alone opens smaller ones. */
export const NARROW_VOID = 0.01
