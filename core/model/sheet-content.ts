import type { Chart } from './answer.ts'
import type { Audience } from './brief.ts'
import type { PlainDate } from './date.ts'
import type { LookOrder } from './downstream.ts'
import type { MultiPolygon, Path } from './geometry.ts'
import type { PatchStatus } from './patch.ts'
import type { Phrase, Quantity, Reading } from './quantity.ts'

/** The season that a sheet shows, and the one it is compared with. */
export type SheetSeason = 'shown' | 'compared'

/** A patch as it is drawn. Coordinates: WGS 84 degrees. */
export interface SheetPatch {
  /** Empty where the audience may not know it. */
  readonly id: string
  readonly season: SheetSeason
  readonly outline: MultiPolygon
  readonly status: PatchStatus | null
  readonly isOutlier: boolean
  /** A few words beside it on the map, e.g. how it got there; null for none. */
  readonly label: string | null
  /** The reports behind it; never printed, needed to cut the sheet to its audience. */
  readonly reportIds: readonly string[]
}

/** A find outside every patch, drawn as a symbol. */
export interface SheetFind {
  readonly season: SheetSeason
  readonly longitude: number
  readonly latitude: number
  readonly reportIds: readonly string[]
}

/** A find whose position is worse than the accuracy limit: a dashed circle of `radius` metres. */
export interface SheetDashedFind extends SheetFind {
  readonly radius: number
}

/** Ground of 1 km on a side or more with its number of reports by season, where exact places may not be shown; null: too few to say. */
export interface SheetCell {
  readonly outline: MultiPolygon
  readonly shown: number | null
  readonly compared: number | null
}

/** The move of one family of finds, drawn from a place toward an azimuth (degrees clockwise from true north). */
export interface SheetArrow {
  readonly longitude: number
  readonly latitude: number
  readonly azimuth: number
  /** Ground length in metres; arrows too short to see are drawn at a least length on paper. */
  readonly length: number
  readonly label: Quantity
}

export interface SheetReach {
  readonly path: Path
  readonly look: LookOrder
  readonly name: string | null
  /** Width of the water in metres, or null. */
  readonly width: number | null
}

export interface SheetParcel {
  readonly id: string
  readonly outline: MultiPolygon
  readonly mark: 'none' | 'infested' | 'near'
  /** Who owns it; never printed on a map, needed for the sheet of one owner. */
  readonly owner: string | null
}

export interface SheetLine {
  readonly path: Path
  readonly name: string | null
}

/** A row of the table of the two seasons. */
export interface SheetTableRow {
  /** The figure that it stands for; rows that an audience may not see, or sees otherwise, are found by it. */
  readonly id: string
  readonly label: string
  readonly shown: Quantity | null
  readonly compared: Quantity | null
  /** A remark on the row above: set lighter. */
  readonly isMinor?: boolean
}

/** In-window visits by square cell; row by row from the north-west, the same ground for every season. */
export interface EffortGrid {
  readonly label: string
  readonly season: SheetSeason
  readonly columns: number
  readonly rows: number
  /** Edge of a cell, metres. */
  readonly cellSize: number
  readonly visits: readonly number[]
}

/**
 * Everything that a season review may show, as plain data. Coordinates: WGS 84 degrees, longitude first.
 * Every list may be empty and every null part is left out of sheet and legend alike.
 */
export interface SheetContent {
  readonly title: string
  readonly place: string
  /** Last day of the data. */
  readonly dataDate: PlainDate
  readonly seasons: { readonly shown: string; readonly compared: string | null }
  readonly audience: Audience
  readonly reading: Reading
  readonly runId: string
  readonly patches: readonly SheetPatch[]
  readonly finds: readonly SheetFind[]
  readonly dashedFinds: readonly SheetDashedFind[]
  readonly cells: readonly SheetCell[]
  readonly searchedClear: readonly MultiPolygon[]
  readonly arrows: readonly SheetArrow[]
  readonly reaches: readonly SheetReach[]
  readonly parcels: readonly SheetParcel[]
  readonly roads: readonly SheetLine[]
  readonly boundary: MultiPolygon | null
  readonly flood: MultiPolygon | null
  /** How the vine stands and moved. */
  readonly headline: Phrase
  /** Where to look. */
  readonly looking: Phrase
  readonly footing: readonly Phrase[]
  readonly table: readonly SheetTableRow[]
  readonly effort: readonly EffortGrid[]
  readonly chart: Chart | null
  readonly hindcast: Phrase | null
  readonly cannotConclude: readonly Phrase[]
  /** How good the positions are, e.g. `Positions are good to 30 m or better (95 %).` */
  readonly positionNote: string
  readonly cautions: readonly string[]
  readonly credits: readonly string[]
}
