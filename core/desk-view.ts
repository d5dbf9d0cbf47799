/**
 * What the desk shows: the questions a face (window, batch command) may ask and the plain data it gets back.
 * Everything here crosses to a worker unchanged. Figures stay in metres and square metres; the face formats them.
 */
import type { Layer } from './geo/index.ts'
import type { Answer, Box, Phrase, Problem, Quantity } from './model/index.ts'

export const QUESTIONS = ['gather', 'vet', 'outline', 'advance', 'downstream', 'sheets'] as const
export type QuestionId = (typeof QUESTIONS)[number]

/** The questions in plain words, in the order of the job. */
export const QUESTION_WORDS: Readonly<Record<QuestionId, string>> = {
  gather: 'What came in?',
  vet: 'Which reports hold?',
  outline: 'Where is it?',
  advance: 'How far did it move?',
  downstream: 'Where will water carry it?',
  sheets: 'What do we hand out?',
}

/** Which seasons the reader looks at. */
export interface SeasonChoice {
  readonly shown: string
  readonly compared: string | null
}

export interface SpineEntry {
  readonly question: QuestionId
  readonly words: string
  /** The short live answer; empty before a run. */
  readonly answer: Phrase
  /** `waiting`: not answered yet; `fresh`; `stale`: an input or setting changed since; `attention`: a person should look. */
  readonly state: 'waiting' | 'fresh' | 'stale' | 'attention'
  /** What needs a person or what made it stale; null when nothing does. */
  readonly note: string | null
}

export interface SeasonBand {
  readonly season: string
  readonly year: number
  readonly start: string
  readonly end: string
  /** Admitted reports by week from the season's start. */
  readonly weeks: readonly { readonly found: number; readonly clear: number }[]
  /** Windows as fractions (0-1) of the band. */
  readonly detectable: readonly { readonly evidence: string; readonly from: number; readonly to: number }[]
}

export interface Overview {
  readonly title: string
  readonly dataDate: string
  readonly bounds: Box
  readonly seasons: readonly SeasonBand[]
  readonly spine: readonly SpineEntry[]
  readonly warnings: readonly { readonly code: string; readonly message: string }[]
  /** True once a run has answered. */
  readonly hasRun: boolean
}

export const MAP_LAYERS = [
  'parcels',
  'boundary',
  'flood',
  'searched',
  'reference',
  'carriers',
  'reaches',
  'patches',
  'finds',
  'clear',
  'arrows',
] as const
export type MapLayerId = (typeof MAP_LAYERS)[number]

/**
 * A layer as the map draws it (WGS 84 degrees). The feature's index is its `fid`. Style columns by layer:
 * parcels: status (infested|near|downstream|''); reaches: a look/SEASON and a flood_look/SEASON each season (first|next|low|''), order (Strahler), width,
 * name, problem; patches: season, status, outlier (jump|far|''), label; reference: source; finds: season, state (counts|single|imprecise|held); clear: season;
 * searched: season; arrows: from, to, label (metres).
 */
export interface MapLayer {
  readonly id: MapLayerId
  readonly layer: Layer
  /** Names of the files in it, in the brief's order; of the reference layers alone. */
  readonly sources?: readonly string[]
}

/** Symbols that the map can draw, by layer; a row with another symbol switches its whole layer. */
export const LEGEND_SYMBOLS = {
  parcels: ['parcel', 'parcel-infested', 'parcel-near', 'parcel-downstream'],
  boundary: ['boundary'],
  flood: ['flood'],
  searched: ['searched'],
  reference: ['reference', 'reference-second', 'reference-third'],
  carriers: ['carrier'],
  reaches: ['reach', 'reach-problem', 'look-first', 'look-next', 'look-low', 'flood-first', 'flood-next', 'flood-low'],
  patches: ['patch-shown', 'patch-compared', 'patch-outlier', 'patch-far'],
  finds: ['find', 'find-single', 'find-imprecise', 'find-held'],
  clear: ['clear'],
  arrows: ['arrow'],
} as const satisfies Record<MapLayerId, readonly string[]>

/** A row of the legend; also the switch of what it names. */
export interface LegendRow {
  readonly id: string
  readonly label: string
  readonly layer: MapLayerId
  /** Which symbol of the theme: e.g. patch-shown, patch-compared, look-first, searched, parcel. */
  readonly symbol: string
  /** Season that the row is about, where it is about one. */
  readonly season: string | null
  /** All seasons whose features the row draws, where they are more than `season`. */
  readonly seasons?: readonly string[]
  /** File that the row is about, for reference layers. */
  readonly source?: string
  readonly isOn: boolean
}

export interface SettingRow {
  /** Path in the brief, e.g. `outline.join_m`. */
  readonly path: string
  readonly label: string
  readonly value: number | string
  readonly unit: string
  readonly source: string
  /** What changing it changes, one sentence. */
  readonly effect: string
  readonly min: number | null
  readonly max: number | null
}

export interface QuestionView {
  readonly question: QuestionId
  readonly choice: SeasonChoice
  readonly answer: Answer
  readonly legend: readonly LegendRow[]
  /** What the legend leaves out and why; absent where nothing is. */
  readonly legendNotes?: readonly string[]
  /** The spine for the seasons chosen; absent where it does not depend on them. */
  readonly spine?: readonly SpineEntry[]
  readonly settings: readonly SettingRow[]
  /** What to do next: another question, or a sheet to print. */
  readonly next: readonly {
    readonly label: string
    readonly question?: QuestionId
    readonly sheet?: string
    readonly select?: { readonly layer: MapLayerId; readonly ids: readonly string[] }
  }[]
}

/** Paths of a feature in degrees, as longitude and latitude in turn; a path of one vertex is a point. */
export interface FeatureShape {
  readonly isPoint: boolean
  readonly paths: readonly Float64Array[]
}

/** What stands behind one feature of the map. */
export interface FeatureCard {
  readonly layer: MapLayerId
  /** Season that the feature is of; absent or null where it is of none. */
  readonly season?: string | null
  readonly fid: number
  readonly id: string
  readonly title: string
  readonly rows: readonly { readonly label: string; readonly quantity: Quantity }[]
  /** Plain sentences: why it is what it is. */
  readonly why: readonly Phrase[]
  readonly box: Box
  /** Null where there is nothing to outline. */
  readonly shape: FeatureShape | null
}

export interface LedgerTable {
  readonly layer: MapLayerId
  readonly title: string
  readonly columns: readonly { readonly id: string; readonly label: string; readonly kind: Quantity['kind'] }[]
  /** One row a feature, in the columns' order. */
  readonly rows: readonly (readonly (string | number | null)[])[]
  readonly fids: readonly number[]
  readonly ids: readonly string[]
}

export interface LocatedFeatures {
  readonly fids: readonly number[]
  /** Null where none of them has a place. */
  readonly box: Box | null
}

export interface BoxedFeatures {
  readonly layer: MapLayerId
  readonly fids: readonly number[]
}

export interface FindHit {
  readonly label: string
  readonly kind: 'parcel' | 'reach' | 'patch' | 'report' | 'place'
  readonly layer: MapLayerId | null
  readonly fid: number | null
  /** Season that it is of; absent or null where it is of none. */
  readonly season?: string | null
  readonly box: Box
}

export interface SheetEntry {
  readonly id: string
  readonly title: string
  readonly page: string
  readonly audience: string
}

export type SheetFormat = 'pdf' | 'svg'

/** Bytes by name: how core reads the files that a brief names (relative to the brief). */
export interface Files {
  read(path: string): Promise<Uint8Array>
}

/** Why something asked of the desk did not happen. */
export interface DeskFailure {
  readonly kind: 'input' | 'cancelled' | 'fault'
  readonly problem: Problem
}

/** The calls of the desk; the same in Node, in a worker and across a message port. */
export interface Desk {
  /** Reads a brief and its layers; vets reports. Long: reports progress. */
  openBrief(path: string): Promise<Overview>
  /** Runs the season's job on what is open, with changed settings if any. */
  run(settings?: Readonly<Record<string, number | string>>): Promise<Overview>
  overview(): Overview
  question(question: QuestionId, choice: SeasonChoice): QuestionView
  /** What the map needs; `version` grows when any of it changes. */
  mapLayers(): { readonly version: number; readonly layers: readonly MapLayer[] }
  /** For the seasons chosen; for the newest ones when none are. */
  feature(layer: MapLayerId, fid: number, choice?: SeasonChoice): FeatureCard
  ledger(layer: MapLayerId, choice: SeasonChoice): LedgerTable
  /** Features by the names that answers, cards and tables give them, and where they lie. */
  locate(layer: MapLayerId, ids: readonly string[], choice: SeasonChoice): LocatedFeatures
  /** Features of each layer that meet a box of degrees; layers without any are left out. */
  featuresIn(box: Box, layers: readonly MapLayerId[], choice: SeasonChoice): readonly BoxedFeatures[]
  /** Features by name or id; of equal ones those of the seasons chosen come first. */
  find(text: string, choice?: SeasonChoice): readonly FindHit[]
  sheets(): readonly SheetEntry[]
  /** Of the seasons chosen; of the newest pair when none are. */
  drawSheet(id: string, format: SheetFormat, choice?: SeasonChoice): Promise<Uint8Array>
  /** The project file as it stands. */
  writeProject(): Promise<Uint8Array>
  /** Output files of the run by name, as the batch command writes them. */
  outputs(): Promise<ReadonlyMap<string, Uint8Array>>
}
