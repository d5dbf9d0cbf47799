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
   * Unit vector in the working frame along which water runs there, taken over about `span` metres of the reach;
   * undefined where the direction is unknown.
   */
  downstreamDirection(place: ReachPlace, span: number): readonly [dx: number, dy: number] | undefined
  /** For each of `to`: metres down the water from the nearest of `from`; Infinity where water does not lead there. */
  distanceDownstream(from: readonly ReachPlace[], to: readonly ReachPlace[]): Float64Array
  /** For each of `to`: metres up the water from the nearest of `from`; Infinity where it does not lie upstream of any. */
  distanceUpstream(from: readonly ReachPlace[], to: readonly ReachPlace[]): Float64Array
}
