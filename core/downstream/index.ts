export { balanceSummary } from './balance-summary.ts'
export type { Entries, LoadSystem } from './load-model.ts'
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
export { type DownstreamInput, routeDownstream } from './route-downstream.ts'
