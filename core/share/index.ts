export { audienceLevel, coarser, coarsestOf, levelFor } from './audience.ts'
export {
  type CellCover,
  cellsOf,
  LEAST_CELL,
  LEAST_OWNERS,
  LEAST_REPORTS,
  type OwnedPoint,
  type ReportCell,
} from './cells.ts'
export {
  cutParcels,
  cutPatches,
  cutReaches,
  cutReports,
  type LayerCut,
  type SharedLayer,
  type Withheld,
} from './cut-layer.ts'
export { cutSheetContent } from './cut-sheet.ts'
export type { CuttingTools, PrivacyFacts, SharedReport } from './privacy-facts.ts'
