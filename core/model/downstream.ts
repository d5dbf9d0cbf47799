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
  /** The same for deposit by protected sites alone; absent where no sites were given. */
  readonly avertedAtProtected?: Float64Array
  /** Who brings what each reach with a deposit gets: the largest patches. */
  readonly sources?: SourceShares
}

/**
 * Shares of patches in the deposits of reaches: those of reach r are from offsets[r] to offsets[r + 1], the largest first, 8 at most;
 * what is left of 1 is the rest together.
 */
export interface SourceShares {
  readonly offsets: Uint32Array
  /** Index into the patches. */
  readonly patch: Uint32Array
  readonly share: Float64Array
}

/** A patch that what settles at a place could have come from. */
export interface SourceShare {
  readonly patchId: string
  /** Of the deposit there, 0-1, and in propagules a season. */
  readonly share: number
  readonly deposit: number
  /** Along the water from where the patch sheds to the place, metres; null where it sheds past the middle of the reach. */
  readonly distance: number | null
}

export interface DownstreamAnswer {
  readonly season: string
  readonly patchIds: readonly string[]
  readonly loads: readonly PatchLoad[]
  readonly ordinary: LoadOnReaches
  readonly flood: LoadOnReaches
  readonly hindcast: Hindcast | null
  /** Quickest way of the water from a source to the middle of each reach, hours; NaN where no velocity is known. */
  readonly hoursFromSource?: Float64Array
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
  /** Share of the bank with any deposit that these parts take up: what finds at random would hit. */
  readonly chanceInFirstTenth: number
  readonly chanceInFirstQuarter: number
  /** Rank-based area under the curve, Hanley and McNeil (1982), and of distance alone. */
  readonly auc: number
  readonly distanceAuc: number
  /** Standard error of the first; chance alone is 0.5. */
  readonly aucError: number
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
  /** The patches that bring what settles along it in ordinary flow, the largest 8; what is left of 1 is the rest together. */
  readonly sources?: readonly { readonly patchId: string; readonly share: number }[]
}
