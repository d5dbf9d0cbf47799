import type { ReachPlace } from '../model/index.ts'

/** A place on the water with its overland distance from where one asked, metres. */
export interface WaterPlace extends ReachPlace {
  readonly distance: number
}

/** What the measures of advance need to know of water; a thin view of the reach network. */
export interface Waterways {
  /** The nearest place on the water within `maximum` metres of a place in the working frame. */
  placeOn(x: number, y: number, maximum: number): WaterPlace | undefined
  /**
   * Positions along the water about a place: metres, positive downstream and negative upstream of it; NaN where the flow
   * does not join the two within `limit` metres, or where it is unknown which way the water runs there.
   */
  positionsAbout(origin: ReachPlace, limit: number): (place: ReachPlace) => number
  /** For each of `to`: metres down the water from the nearest of `from`; Infinity where water does not lead there. */
  distanceDownstream(from: readonly ReachPlace[], to: readonly ReachPlace[]): Float64Array
  /** For each of `to`: metres up the water from the nearest of `from`; Infinity where it does not lie upstream of any. */
  distanceUpstream(from: readonly ReachPlace[], to: readonly ReachPlace[]): Float64Array
}
