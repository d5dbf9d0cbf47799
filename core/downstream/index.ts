export { balanceSummary } from './balance-summary.ts'
export { findBankBeside } from './bank-beside.ts'
export { type DownstreamFacts, describeDownstream } from './describe-downstream.ts'
export { scoreHindcast } from './hindcast.ts'
export type { Entries, LoadSystem } from './load-model.ts'
export { type LoadProperties, loadProperties } from './load-properties.ts'
export {
  followArc,
  type LoadPlan,
  type LoadSolution,
  planLoad,
  solveAdjoint,
  solveLoad,
  valueOfEntry,
} from './load-solver.ts'
export type { Barrier } from './load-system.ts'
export { LOOK_SHARES, LookDraws, rankForLooking } from './look-order.ts'
export { findParcelsAtRisk, type ParcelFinds, type ParcelsInput } from './parcels-at-risk.ts'
export { findReachesNear, type PatchReach } from './patch-water.ts'
export { routeDownstream } from './route-downstream.ts'
export type { DownstreamInput } from './route-plan.ts'
export { traceSources } from './trace-sources.ts'
