import type { PlainDate } from './date.ts'
import type { MultiPolygon } from './geometry.ts'
import type { SquareMetres } from './units.ts'

export const PATCH_STATUS = ['first', 'new', 'newly_found', 'grown', 'steady', 'shrunk', 'split', 'merged'] as const
export type PatchStatus = (typeof PATCH_STATUS)[number]

/** Low and high end of an interval (90 % unless its name says otherwise). */
export interface Interval {
  readonly low: number
  readonly high: number
}

/** An infestation polygon of one season. Areas are ellipsoidal and lose the ground that was searched and found clear. */
export interface Patch {
  readonly season: string
  /** Unique within its season. */
  readonly id: string
  readonly reportIds: readonly string[]
  /** Outline in the working frame (metres) and in degrees (WGS 84), same rings in the same order. */
  readonly planar: MultiPolygon
  readonly outline: MultiPolygon
  /** Union of the discs of plants, less the cut-outs, in the working frame. */
  readonly infestedPlanar: MultiPolygon
  readonly grossArea: SquareMetres
  readonly infestedArea: SquareMetres
  /** Null when the cover is unknown for all of it. */
  readonly netCanopy: SquareMetres | null
  /** Shares (0-1): of the infested ground whose cover is known; of gross that is measured, default radius, infill (these three sum to 1). */
  readonly coverKnownShare: number
  readonly measuredShare: number
  readonly defaultShare: number
  readonly infillShare: number
  /** Under position error; null where not computed. */
  readonly grossInterval: Interval | null
  readonly infestedInterval: Interval | null
  readonly firstSeen: PlainDate
  readonly lastSeen: PlainDate
  readonly isConfirmed: boolean
}

/** A find, or a few, below the minimum number of reports: drawn as a symbol, adds no patch. */
export interface SingleFind {
  readonly season: string
  readonly reportIds: readonly string[]
  readonly x: number
  readonly y: number
}

/** How a patch relates to the seasons before it. */
export interface PatchHistory {
  readonly season: string
  readonly patchId: string
  readonly status: PatchStatus
  /** Ids of the patches of the season before that it overlaps. */
  readonly linkedFrom: readonly string[]
  readonly isTreated: boolean
}

/** A patch of an older season without a successor in the next one. */
export interface PatchNotSeen {
  /** The season in which it was not seen. */
  readonly season: string
  /** The season before, and the patch's id in it. */
  readonly patchSeason: string
  readonly patchId: string
}

/** Ground that people looked at in one season, detectable windows only. */
export interface SearchedGround {
  readonly season: string
  /** Working frame, metres. */
  readonly planar: MultiPolygon
  readonly area: SquareMetres
  readonly visits: number
  /** Share of the programme boundary (or of the study box where none is given). */
  readonly share: number
}
