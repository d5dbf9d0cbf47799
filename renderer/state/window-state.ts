import type {
  DeskFailure,
  FeatureCard,
  LedgerTable,
  MapLayerId,
  Overview,
  QuestionId,
  QuestionView,
  SeasonChoice,
} from '../../core/desk-view.ts'
import type { Box, Position, Reading } from '../../core/model/index.ts'
import type { FileToken } from '../../electron/ipc/surface.ts'
import type { MapContents } from '../worker/messages.ts'
import { createStore } from './store.ts'

/** `starting`: the desk is coming up; `empty`: nothing open; `open`: a brief is open. */
export type Phase = 'starting' | 'empty' | 'open' | 'broken'
export type RowState = 'show' | 'dim' | 'hide'
export type ThemeChoice = 'system' | 'light' | 'dark'

export type MapTool = 'pick' | 'length' | 'area' | 'box'

export interface Selection {
  readonly layer: MapLayerId
  readonly fids: readonly number[]
}

export interface Work {
  /** What runs, as its button says it. */
  readonly label: string
  readonly fraction: number
  readonly note: string
  readonly isStopping: boolean
}

export interface WindowState {
  readonly phase: Phase
  readonly version: string
  readonly brief: FileToken | null
  readonly work: Work | null
  /** The last thing that did not happen; shown until it is put away. */
  readonly failure: DeskFailure | null
  /** What was just finished, one short sentence for eyes and screen readers. */
  readonly notice: string | null
  readonly overview: Overview | null
  readonly question: QuestionId
  readonly choice: SeasonChoice
  readonly view: QuestionView | null
  readonly map: MapContents
  readonly rows: Readonly<Record<string, RowState>>
  /** Legend keys from the top of the drawing down, as they were moved; empty when nobody moved any. */
  readonly order: readonly string[]
  readonly selection: Selection | null
  /** What else a drawn box met, layer by layer; null when the selection came another way. */
  readonly boxed: readonly Selection[] | null
  /** What a press on the map does: select, measure, or draw a box to select in. */
  readonly tool: MapTool
  /** Places of what is measured, or the first corner of a box. */
  readonly places: readonly Position[]
  /** A measure that was ended stands until the next place begins another. */
  readonly isEnded: boolean
  readonly card: FeatureCard | null
  readonly hovered: { readonly layer: MapLayerId; readonly fid: number } | null
  /** Where the map should go next; a new object each time. */
  readonly goTo: { readonly box: Box } | null
  readonly ledger: LedgerTable | null
  readonly changes: Readonly<Record<string, number | string>>
  readonly reading: Reading
  readonly theme: ThemeChoice
  readonly isMapAbsent: boolean
}

const KEPT_UNITS = 'vinereach.units'
const KEPT_THEME = 'vinereach.theme'

function keptUnits(locale: string): Reading['units'] {
  const kept = window.localStorage.getItem(KEPT_UNITS)
  if (kept === 'acres-feet' || kept === 'hectares-metres') return kept
  return /-(US|LR|MM)$/i.test(locale) ? 'acres-feet' : 'hectares-metres'
}

function keptTheme(): ThemeChoice {
  const kept = window.localStorage.getItem(KEPT_THEME)
  return kept === 'light' || kept === 'dark' ? kept : 'system'
}

export const windowStore = createStore<WindowState>({
  phase: 'starting',
  version: '',
  brief: null,
  work: null,
  failure: null,
  notice: null,
  overview: null,
  question: 'outline',
  choice: { shown: '', compared: null },
  view: null,
  map: { version: 0, layers: [] },
  rows: {},
  order: [],
  selection: null,
  boxed: null,
  tool: 'pick',
  places: [],
  isEnded: false,
  card: null,
  hovered: null,
  goTo: null,
  ledger: null,
  changes: {},
  reading: { units: keptUnits(navigator.language), locale: navigator.language },
  theme: keptTheme(),
  isMapAbsent: false,
})

export function setUnits(units: Reading['units']): void {
  window.localStorage.setItem(KEPT_UNITS, units)
  windowStore.set({ reading: { ...windowStore.get().reading, units } })
}

export function setTheme(theme: ThemeChoice): void {
  window.localStorage.setItem(KEPT_THEME, theme)
  windowStore.set({ theme })
}

export function setLocale(locale: string): void {
  windowStore.set({ reading: { units: keptUnits(locale), locale } })
}
