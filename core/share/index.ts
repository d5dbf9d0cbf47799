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
export { cutSheetContent } from './cut-sheet.ts'
export type { CuttingTools, PrivacyFacts, SharedReport } from './privacy-facts.ts'
