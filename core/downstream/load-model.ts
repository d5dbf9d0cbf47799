/**
 * Water and what it carries, as a linear system on arcs (a reach in the direction of its flow) and nodes.
 * Shapes: one entry an arc, unless said; barriers of arc e are i from barrierOffsets[e] to barrierOffsets[e + 1], upstream first.
 * Units: metres; x runs from the arc's upstream end.
 */
export interface LoadSystem {
  readonly nodeCount: number
  readonly arcCount: number
  readonly from: Uint32Array
  readonly to: Uint32Array
  readonly length: Float64Array
  /** Retention length lambda, above 0, may be infinite. */
  readonly retention: Float64Array
  /** Share of the node's flow that enters the arc; the shares of the arcs that leave a node sum to 1. */
  readonly share: Float64Array
  readonly barrierOffsets: Uint32Array
  readonly barrierPlace: Float64Array
  /** Share that a barrier passes, 0-1. */
  readonly barrierPass: Float64Array
  readonly outOffsets: Uint32Array
  readonly outArcs: Uint32Array
}

/** Loads that enter the water: load[k] at place[k] (metres) on arc[k]. */
export interface Entries {
  readonly arc: Uint32Array
  readonly place: Float64Array
  readonly load: Float64Array
}
