export {
  type AdvanceAnswer,
  type AlongWater,
  type EdgeFamily,
  type FirstSeenPlace,
  type FirstSeenSurface,
  type GrowthCheck,
  OUTLIER_ROUTES,
  type OutlierPatch,
  type OutlierRoute,
  type OutlierWay,
  RATE_KINDS,
  type Rate,
  type RateKind,
  type SeasonMove,
  type SectorEdge,
} from './advance.ts'
export type { Answer, Chart, ChartPoint, Figure, Why } from './answer.ts'
export {
  type AdvanceOrigin,
  type AdvanceSettings,
  AUDIENCES,
  type Audience,
  BANDWIDTH_RULES,
  type Brief,
  type BriefLayers,
  DATE_FORMATS,
  type DateFormat,
  type DownstreamSettings,
  type LayerSource,
  OUTLINE_METHODS,
  type OutlineSettings,
  PAGES,
  type PlanSettings,
  SHEET_KINDS,
  type SheetRequest,
  SINGLE_LAYER_ROLES,
  type SingleLayerRole,
  type VetSettings,
} from './brief.ts'
export { type CoverClass, type CoverTable, DAUBENMIRE, parseCover } from './cover.ts'
export { dateFromDayNumber, dayNumber, isPlainDate, isWithin, type PlainDate, yearOf } from './date.ts'
export {
  type DownstreamAnswer,
  FLOW_SCENARIOS,
  type FlowScenario,
  type Hindcast,
  LOOK_ORDER,
  type LoadBalance,
  type LoadOnReaches,
  type LookOrder,
  type ParcelAtRisk,
  type PatchLoad,
  type SourceShare,
  type SourceShares,
} from './downstream.ts'
export type { Box, MultiPath, MultiPolygon, Path, Polygon, Ring } from './geometry.ts'
export {
  type Interval,
  PATCH_STATUS,
  type Patch,
  type PatchHistory,
  type PatchNotSeen,
  type PatchStatus,
  type SearchedGround,
  type SingleFind,
} from './patch.ts'
export { Cancelled, describeProblem, InputError, type Problem } from './problem.ts'
export type { Sourced, SpeciesProfile } from './profile.ts'
export {
  formatPhrase,
  formatQuantity,
  type Phrase,
  QUANTITY_KINDS,
  type Quantity,
  type QuantityKind,
  type Reading,
} from './quantity.ts'
export {
  DIRECTION_EVIDENCE,
  type DirectionEvidence,
  NETWORK_PROBLEM,
  type NetworkProblem,
  type NetworkProblemKind,
  type NetworkRepair,
  REPAIR_ACTIONS,
  type ReachLine,
  type ReachNetwork,
  type ReachPlace,
  type RepairAction,
  type RepairDecision,
  WATER_KINDS,
  type WaterKind,
} from './reach.ts'
export {
  accuracyAt95,
  CONSENT,
  type Consent,
  EVIDENCE,
  type Evidence,
  factorTo95,
  REPORT_STATUS,
  type Report,
  type ReportStatus,
  TRAINING,
  type Training,
} from './report.ts'
export { PROFILES, SAMPLE_VINE } from './sample-vine.ts'
export { calendarSeasons, findSeason, isDetectable, type Season } from './season.ts'
export type {
  EffortGrid,
  SheetArrow,
  SheetCell,
  SheetContent,
  SheetDashedFind,
  SheetFind,
  SheetLine,
  SheetParcel,
  SheetPatch,
  SheetReach,
  SheetSeason,
  SheetTableRow,
} from './sheet-content.ts'
export type { Find, SeasonSightings, Visit } from './sighting.ts'
export {
  type AreaSymbol,
  type Hatch,
  INK,
  LOOK_INK,
  PARCEL_LINE,
  ROAD,
  SEARCHED,
  SEASON_SYMBOLS,
  SOFT_INK,
  WATER,
} from './symbols.ts'
export { createTask, type Task, type TaskHost } from './task.ts'
export {
  type Days,
  type Degrees,
  days,
  degrees,
  METRES_PER_FOOT,
  METRES_PER_MILE,
  type Metres,
  metres,
  type Position,
  type Radians,
  radians,
  SQUARE_METRES_PER_ACRE,
  type SquareMetres,
  squareMetres,
  toDegrees,
  toRadians,
} from './units.ts'
export type { Admission, Finding } from './vetting.ts'
