import type { CoverTable } from './cover.ts'
import type { SpeciesProfile } from './profile.ts'
import type { RepairDecision } from './reach.ts'
import type { Season } from './season.ts'

/** A file of the brief; `path` is relative to the brief. `fields` maps our field names to the file's columns. */
export interface LayerSource {
  readonly path: string
  /** Which layer of a file that holds several. */
  readonly layer?: string
  readonly fields: Readonly<Record<string, string>>
  /** `auto`, `iso`, `mdy` or `dmy`. */
  readonly dateFormat: DateFormat
  /** `EPSG:n`; stands in where the file does not tell. */
  readonly crs?: string
}

export const DATE_FORMATS = ['auto', 'iso', 'mdy', 'dmy'] as const
export type DateFormat = (typeof DATE_FORMATS)[number]

export const SINGLE_LAYER_ROLES = [
  'parcels',
  'waterways',
  'barriers',
  'join_breaks',
  'treatments',
  'releases',
  'visits',
  'protect',
  'boundary',
  'weather',
  'searched',
  'carriers',
  'flood',
] as const
export type SingleLayerRole = (typeof SINGLE_LAYER_ROLES)[number]

export interface BriefLayers extends Readonly<Partial<Record<SingleLayerRole, LayerSource>>> {
  readonly reports: readonly LayerSource[]
  readonly reference: readonly LayerSource[]
}

export const OUTLINE_METHODS = ['closing', 'density', 'discs'] as const

export const BANDWIDTH_RULES = ['silverman', 'scott', 'plug-in'] as const

export interface OutlineSettings {
  readonly method: (typeof OUTLINE_METHODS)[number]
  /** Radius of a find without a size, metres. */
  readonly radius: number
  /** Join distance g, metres, edge to edge. */
  readonly join: number
  /** Minimum reports of a patch when one of them is confirmed, and when none is. */
  readonly minReports: number
  readonly minReportsUnconfirmed: number
  /** Positions worse than this (95 %) add no area, metres. */
  readonly accuracyLimit: number
  /** Holes below this are filled, square metres. */
  readonly minimumHole: number
  /** Patches with less gross area are left out and listed, square metres; absent: 0. */
  readonly minimumArea?: number
  /** Pieces of an outline with a smaller mean width are left out and listed, metres; absent: 0. */
  readonly sliverWidth?: number
  /** A report that states a larger size is held back, square metres; absent: 100 000 (10 ha; common practice, no source). */
  readonly largestSize?: number
  /** Search radius of a visit without an extent, metres. */
  readonly searchRadius: number
  /** Water at least this wide is not joined across, metres. */
  readonly joinWaterWidth: number
  /** Bandwidth of the density contour: a rule, or metres in both directions. */
  readonly bandwidth: (typeof BANDWIDTH_RULES)[number] | number
  /** Share of the probability mass inside the density contour. */
  readonly mass: number
  /** Draws of the area interval under position error. */
  readonly draws: number
  readonly seed: number
  readonly coverTable: CoverTable
}

export interface VetSettings {
  /** Whether unchecked reports without a blocking finding count. */
  readonly admit: 'accepted' | 'unblocked'
}

export type AdvanceOrigin =
  | 'first-patch'
  | 'boundary'
  | readonly [longitude: number, latitude: number]
  | readonly (readonly [longitude: number, latitude: number])[]

export interface AdvanceSettings {
  /** The first season's largest patch, the boundary of all that season's patches, a place, or several: the nearest counts. */
  readonly origin: AdvanceOrigin
  /** Step along the newer boundary, metres. */
  readonly step: number
  readonly sectors: number
  /** Draws of the matched thinning. */
  readonly draws: number
  readonly seed: number
}

export interface DownstreamSettings {
  readonly snap: number
  readonly isNodingCrossings: boolean
  /** Whether an end on the side of another line is a node, crossings apart. */
  readonly isNodingTouches?: boolean
  /** What was decided about proposed repairs of the network. */
  readonly repairs?: readonly RepairDecision[]
  /** Bank distance and bank scale, metres. */
  readonly bank: number
  readonly bankScale: number
  /** Retention lengths, metres; null: the profile's. */
  readonly retentionOrdinary: number | null
  readonly retentionFlood: number | null
  /** Propagules a square metre infested; null: the profile's. */
  readonly propagules: number | null
  readonly draws: number
  readonly seed: number
}

export interface PlanSettings {
  readonly personHours: number | null
  readonly insects: number | null
}

export const SHEET_KINDS = ['season-review'] as const
export const PAGES = ['letter', 'a4', 'tabloid', 'a3'] as const
export const AUDIENCES = ['crew', 'owner', 'partner', 'public'] as const
/** Who a sheet or an export is for. */
export type Audience = (typeof AUDIENCES)[number]

export interface SheetRequest {
  readonly id: string
  readonly kind: (typeof SHEET_KINDS)[number]
  readonly page: (typeof PAGES)[number]
  readonly orientation: 'landscape' | 'portrait'
  readonly audience: Audience
  readonly title?: string
  /** Scale denominator; absent: the largest round scale that shows everything. */
  readonly scale?: number
  /** For audience `owner`: whose land. */
  readonly owner?: string
}

/** What a run does, complete: every default filled in. */
export interface Brief {
  readonly title: string
  readonly species: SpeciesProfile
  readonly workingCrs: string
  readonly layers: BriefLayers
  /** Empty: calendar years of the reports. */
  readonly seasons: readonly Season[]
  readonly outline: OutlineSettings
  readonly vet: VetSettings
  readonly advance: AdvanceSettings
  readonly downstream: DownstreamSettings
  readonly plan: PlanSettings
  readonly sheets: readonly SheetRequest[]
}
