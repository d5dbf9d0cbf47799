import type { ReachPlace } from './reach.ts'

export const FLOW_SCENARIOS = ['ordinary', 'flood'] as const
export type FlowScenario = (typeof FLOW_SCENARIOS)[number]

/** Order of looking by deposit: first = top 10 % of the bank length with any deposit, next = to 25 %. */
export const LOOK_ORDER = ['none', 'first', 'next', 'low'] as const
export type LookOrder = (typeof LOOK_ORDER)[number]

/** Where one patch sheds propagules into the water. */
export interface PatchLoad {
  readonly patchId: string
  /** Propagules a season that enter the water. */
  readonly load: number
  /** Smallest ellipsoidal distance from patch to water, metres; 0 where water crosses it. */
  readonly distance: number
  readonly entries: readonly (ReachPlace & { readonly load: number })[]
}

/** Whole-network sums; sheds = deposits + outlets + held + stranded + unrouted. */
export interface LoadBalance {
  readonly loadTotal: number
  readonly depositTotal: number
  readonly outletTotal: number
  readonly heldTotal: number
  readonly strandedTotal: number
  readonly unroutedTotal: number
  /** |sum of sheds - sum of the rest| / sum of sheds. */
  readonly balanceError: number
}

/** One flow scenario on the network: a value a reach, in the reaches' order; propagules a season unless said. */
export interface LoadOnReaches {
  readonly scenario: FlowScenario
  readonly loadIn: Float64Array
  readonly loadOwn: Float64Array
  readonly loadOut: Float64Array
  readonly deposit: Float64Array
  readonly held: Float64Array
  readonly unrouted: Float64Array
  /** 1 - exp(-e deposit), and its 5th and 95th percentile over the seeded draws. */
  readonly arrivalChance: Float64Array
  readonly chanceLow: Float64Array
  readonly chanceHigh: Float64Array
  /** Index into LOOK_ORDER. */
  readonly look: Uint8Array
  /** Share of draws that put the reach into this class, 0-1; NaN where there is no deposit. */
  readonly lookFirmness: Float64Array
  /** 1 = largest deposit a metre of bank; 0 where there is none. */
  readonly rank: Uint32Array
  /** Index into the patches, -1 where nothing arrives; and its share of the deposit (0-1). */
  readonly mainSource: Int32Array
  readonly mainSourceShare: Float64Array
  readonly balance: LoadBalance
  /** A patch's downstream deposit that its removal averts, by the adjoint; in the order of the patches. */
  readonly averted: Float64Array
}

export interface DownstreamAnswer {
  readonly season: string
  readonly patchIds: readonly string[]
  readonly loads: readonly PatchLoad[]
  readonly ordinary: LoadOnReaches
  readonly flood: LoadOnReaches
  readonly hindcast: Hindcast | null
}

/** Last season's order scored against this season's new finds. Shares 0-1. */
export interface Hindcast {
  readonly from: string
  readonly to: string
  readonly finds: number
  /** Share of the finds on the first 10 % and 25 % of bank length in the order; the same for nearest-downstream distance alone. */
  readonly inFirstTenth: number
  readonly inFirstQuarter: number
  readonly distanceInFirstTenth: number
  readonly distanceInFirstQuarter: number
  /** Rank-based area under the curve, Hanley and McNeil (1982), and of distance alone. */
  readonly auc: number
  readonly distanceAuc: number
}

/** A parcel that somebody should know about. */
export interface ParcelAtRisk {
  readonly parcelId: string
  readonly status: 'infested' | 'near' | 'downstream'
  /** Confirmed plants whose 95 % circle lies within the parcel. */
  readonly confirmedFinds: number
  /** Gross patch area inside the parcel, square metres, ellipsoidal. */
  readonly patchArea: number
  /** Bank length of reaches inside or along the parcel, metres. */
  readonly bankLength: number
  readonly look: LookOrder
  readonly floodLook: LookOrder
  /** Ordinary flow, over all its reaches; 0 where none. */
  readonly arrivalChance: number
  /** Id of the patch that sends most, or null. */
  readonly mainSource: string | null
}
