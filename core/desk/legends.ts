import {
  LEGEND_SYMBOLS,
  type LegendRow,
  type MapLayer,
  type MapLayerId,
  type QuestionId,
  type SeasonChoice,
} from '../desk-view.ts'
import { columnValue, findColumn } from '../geo/index.ts'
import { lookColumn } from './map-layers.ts'

interface RowSpec {
  readonly id: string
  readonly label: string
  readonly layer: MapLayerId
  readonly symbol: string
  /**
   * `move`: the later of two seasons in a row that are chosen; `span`: every season after the older one chosen;
   * `water`: the newest season that water was worked out for.
   */
  readonly season: keyof Seasons | null
  readonly questions: readonly QuestionId[]
  /** The row stands only where the layer holds a feature of this kind. */
  readonly when?: (value: (name: string) => unknown, season: string) => boolean
  /** Listed, but drawn only when it is switched on. */
  readonly isOff?: boolean
}

const ALL: readonly QuestionId[] = ['gather', 'vet', 'outline', 'advance', 'downstream', 'sheets']
const ANSWERS: readonly QuestionId[] = ['outline', 'advance', 'downstream', 'sheets']

const SPECS: readonly RowSpec[] = [
  {
    id: 'patches-shown',
    label: 'patches',
    layer: 'patches',
    symbol: 'patch-shown',
    season: 'shown',
    questions: ANSWERS,
  },
  {
    id: 'patches-compared',
    label: 'patches',
    layer: 'patches',
    symbol: 'patch-compared',
    season: 'compared',
    questions: ['outline', 'advance', 'sheets'],
  },
  {
    id: 'patches-outlier',
    label: 'outlier patches',
    layer: 'patches',
    symbol: 'patch-outlier',
    season: 'shown',
    questions: ['outline', 'sheets'],
    when: of => of('outlier') === 'jump',
  },
  {
    id: 'jumps-outlier',
    label: 'outlier patches',
    layer: 'patches',
    symbol: 'patch-outlier',
    season: 'span',
    questions: ['advance'],
    when: of => of('outlier') === 'jump',
  },
  {
    id: 'patches-far',
    label: 'far, age unknown',
    layer: 'patches',
    symbol: 'patch-far',
    season: 'shown',
    questions: ['outline', 'sheets'],
    when: of => of('outlier') === 'far',
  },
  {
    id: 'jumps-far',
    label: 'far, age unknown',
    layer: 'patches',
    symbol: 'patch-far',
    season: 'span',
    questions: ['advance'],
    when: of => of('outlier') === 'far',
  },
  {
    id: 'finds-shown',
    label: 'finds',
    layer: 'finds',
    symbol: 'find',
    season: 'shown',
    questions: ['gather', 'vet', 'outline'],
    when: of => of('state') === 'counts',
  },
  {
    id: 'finds-single',
    label: 'single finds',
    layer: 'finds',
    symbol: 'find-single',
    season: 'shown',
    questions: ANSWERS,
    when: of => of('state') === 'single',
  },
  {
    id: 'finds-imprecise',
    label: 'poor positions',
    layer: 'finds',
    symbol: 'find-imprecise',
    season: 'shown',
    questions: ['vet', 'outline'],
    when: of => of('state') === 'imprecise',
  },
  {
    id: 'finds-held',
    label: 'held back, all seasons',
    layer: 'finds',
    symbol: 'find-held',
    season: null,
    questions: ['vet'],
    when: of => of('state') === 'held',
  },
  {
    id: 'clear',
    label: 'looked, not found',
    layer: 'clear',
    symbol: 'clear',
    season: 'shown',
    questions: ['gather', 'vet', 'outline'],
  },
  {
    id: 'searched',
    label: 'searched, not detected',
    layer: 'searched',
    symbol: 'searched',
    season: 'shown',
    questions: ['outline', 'advance'],
  },
  {
    id: 'arrows',
    label: 'edge move, drawn long',
    layer: 'arrows',
    symbol: 'arrow',
    season: 'move',
    questions: ['advance'],
  },
  {
    id: 'look-first',
    label: 'look first',
    layer: 'reaches',
    symbol: 'look-first',
    season: 'shown',
    questions: ['downstream', 'sheets'],
    when: (of, season) => of(lookColumn('look', season)) === 'first',
  },
  {
    id: 'look-next',
    label: 'look next',
    layer: 'reaches',
    symbol: 'look-next',
    season: 'shown',
    questions: ['downstream', 'sheets'],
    when: (of, season) => of(lookColumn('look', season)) === 'next',
  },
  {
    id: 'look-low',
    label: 'low',
    layer: 'reaches',
    symbol: 'look-low',
    season: 'shown',
    questions: ['downstream'],
    when: (of, season) => of(lookColumn('look', season)) === 'low',
  },
  {
    id: 'flood-first',
    label: 'look first, flood',
    layer: 'reaches',
    symbol: 'flood-first',
    season: 'shown',
    questions: ['downstream'],
    when: (of, season) => of(lookColumn('flood_look', season)) === 'first',
    isOff: true,
  },
  {
    id: 'flood-next',
    label: 'look next, flood',
    layer: 'reaches',
    symbol: 'flood-next',
    season: 'shown',
    questions: ['downstream'],
    when: (of, season) => of(lookColumn('flood_look', season)) === 'next',
    isOff: true,
  },
  {
    id: 'flood-low',
    label: 'low, flood',
    layer: 'reaches',
    symbol: 'flood-low',
    season: 'shown',
    questions: ['downstream'],
    when: (of, season) => of(lookColumn('flood_look', season)) === 'low',
    isOff: true,
  },
  { id: 'waterways', label: 'waterways', layer: 'reaches', symbol: 'reach', season: null, questions: ALL },
  {
    id: 'network-problems',
    label: 'network problems',
    layer: 'reaches',
    symbol: 'reach-problem',
    season: null,
    questions: ['downstream'],
    when: of => of('problem') !== null,
  },
  {
    id: 'parcels-infested',
    label: 'parcels, infested',
    layer: 'parcels',
    symbol: 'parcel-infested',
    season: 'water',
    questions: ['outline', 'downstream'],
    when: of => of('status') === 'infested',
  },
  {
    id: 'parcels-near',
    label: 'parcels, near: check',
    layer: 'parcels',
    symbol: 'parcel-near',
    season: 'water',
    questions: ['outline', 'downstream'],
    when: of => of('status') === 'near',
  },
  {
    id: 'parcels-downstream',
    label: 'parcels downstream',
    layer: 'parcels',
    symbol: 'parcel-downstream',
    season: 'water',
    questions: ['downstream'],
    when: of => of('status') === 'downstream',
  },
  { id: 'parcels', label: 'parcel lines', layer: 'parcels', symbol: 'parcel', season: null, questions: ALL },
  {
    id: 'flood',
    label: 'flood extent',
    layer: 'flood',
    symbol: 'flood',
    season: null,
    questions: ['downstream'],
    isOff: true,
  },
  {
    id: 'carriers',
    label: 'mowing routes, carriers',
    layer: 'carriers',
    symbol: 'carrier',
    season: null,
    questions: ['advance'],
  },
  { id: 'boundary', label: 'programme boundary', layer: 'boundary', symbol: 'boundary', season: null, questions: ALL },
]

/** Which seasons there are, oldest first, and the newest one that water was worked out for. */
export interface KnownSeasons {
  readonly all: readonly string[]
  readonly newestWater: string | null
}

interface Seasons {
  readonly shown: readonly string[]
  readonly compared: readonly string[]
  readonly move: readonly string[]
  readonly span: readonly string[]
  readonly water: readonly string[]
}

/** Seasons after the older one of the two chosen, up to the later one; without a choice of two since the one before. */
function spanOf({ shown, compared }: SeasonChoice, all: readonly string[]): readonly string[] {
  const at = all.indexOf(shown)
  const other = compared === null ? Math.max(0, at - 1) : all.indexOf(compared)
  return all.slice(Math.min(at, other) + 1, Math.max(at, other) + 1)
}

function seasonsFor(choice: SeasonChoice, { all, newestWater }: KnownSeasons): Seasons {
  const span = spanOf(choice, all)
  const listed = (season: string | null) => (season === null ? [] : [season])
  return {
    shown: [choice.shown],
    compared: listed(choice.compared),
    move: span.length === 1 ? span : [],
    span,
    water: listed(newestWater),
  }
}

export interface Legend {
  readonly rows: readonly LegendRow[]
  /** What is not drawn and why. */
  readonly notes: readonly string[]
}

/** The legend of a question: a row for each thing that is drawn, and no other. */
export function buildLegend(
  question: QuestionId,
  choice: SeasonChoice,
  layers: readonly MapLayer[],
  known: KnownSeasons,
): Legend {
  const seasonsBy = seasonsFor(choice, known)
  const rows = SPECS.flatMap((spec): LegendRow[] => {
    const layer = layers.find(entry => entry.id === spec.layer)
    if (!layer || !spec.questions.includes(question)) return []
    const { id, symbol, isOff } = spec
    const common = { id, layer: spec.layer, symbol, isOn: isOff !== true }
    if (spec.season === null)
      return hasFeature(layer, spec, null) ? [{ ...common, label: spec.label, season: null }] : []
    const seasons = seasonsBy[spec.season].filter(season => hasFeature(layer, spec, season))
    const [first, last] = [seasons[0], seasons.at(-1)]
    if (first === undefined || last === undefined) return []
    const label = `${spec.label}, ${first === last ? first : `${first}–${last}`}`
    return [{ ...common, label, season: last, ...(seasons.length > 1 ? { seasons } : {}) }]
  })
  const notes = question === 'advance' ? arrowNotes(rows, seasonsBy) : []
  return { rows: [...rows, ...referenceRows(layers)], notes }
}

/** Why no arrows stand where the answer tells a move. */
function arrowNotes(rows: readonly LegendRow[], { span, move }: Seasons): string[] {
  if (span.length === 0 || rows.some(row => row.layer === 'arrows')) return []
  return move.length === 1
    ? [`No arrows to ${move[0]}: no family moved by more than twice its error.`]
    : ['No arrows: they are drawn between two seasons in a row alone.']
}

const REFERENCE = LEGEND_SYMBOLS.reference

/** A row for each reference file of the brief, in its order; three symbols take turns. */
function referenceRows(layers: readonly MapLayer[]): LegendRow[] {
  const sources = layers.find(entry => entry.id === 'reference')?.sources ?? []
  return sources.map((source, i) => ({
    id: `reference-${source}`,
    label: source.replaceAll(/[_-]+/g, ' '),
    layer: 'reference',
    symbol: REFERENCE[i % REFERENCE.length]!,
    season: null,
    source,
    isOn: true,
  }))
}

/** Which column holds the season; a file may bring one of that name that is none of ours. */
const SEASON_COLUMNS: Readonly<Partial<Record<MapLayerId, string>>> = {
  patches: 'season',
  finds: 'season',
  clear: 'season',
  searched: 'season',
  arrows: 'to',
}

function hasFeature({ id, layer }: MapLayer, { when }: RowSpec, season: string | null): boolean {
  const seasons = findColumn(layer, SEASON_COLUMNS[id] ?? '')
  for (let i = 0; i < layer.featureCount; i++) {
    if (season !== null && seasons && columnValue(seasons, i) !== season) continue
    const value = (name: string) => {
      const column = layer.columns.find(entry => entry.name === name)
      return column ? columnValue(column, i) : null
    }
    if (!when || when(value, season ?? '')) return true
  }
  return false
}
