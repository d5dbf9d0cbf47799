export {
  distancesDownstream,
  distancesUpstream,
  downstreamDirectionAt,
  hoursDownstream,
  type WaterDistances,
} from './along-water.ts'
export { buildNetwork, type NetworkInput } from './build-network.ts'
export { buildFlowGraph, type FlowGraph } from './flow-graph.ts'
export { manningVelocity } from './flow-velocity.ts'
export { LeastHeap } from './least-heap.ts'
export type { WaterwayFields } from './line-attributes.ts'
export { createTangentPlane, type LocalMetres, localMetresAt, type TangentPlane } from './local-metres.ts'
export {
  createReachIndex,
  findSegment,
  fractionAt,
  positionOfPlace,
  type ReachIndex,
  type ReachSnap,
  snapToReach,
} from './reach-index.ts'
export { type ReachProperties, reachProperties } from './reach-properties.ts'
export { computeStreamOrders, type StreamOrders } from './stream-order.ts'
export { findStrongComponents, type StrongComponents } from './strong-components.ts'
