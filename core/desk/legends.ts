import {
  LEGEND_SYMBOLS,
  type LegendRow,
  type MapLayer,
  type MapLayerId,
  type QuestionId,
  type SeasonChoice,
} from '../desk-view.ts'
import { columnValue } from '../geo/index.ts'

interface RowSpec {
  readonly id: string
  readonly label: string
  readonly layer: MapLayerId
  readonly symbol: string
  readonly season: 'shown' | 'compared' | null
  readonly questions: readonly QuestionId[]
  /** The row stands only where the layer holds a feature of this kind. */
  readonly when?: (value: (name: string) => unknown) => boolean
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
    questions: ['outline', 'advance', 'sheets'],
    when: of => of('outlier') === 'jump',
  },
  {
    id: 'patches-far',
    label: 'far, age unknown',
    layer: 'patches',
    symbol: 'patch-far',
    season: 'shown',
    questions: ['outline', 'advance', 'sheets'],
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
    season: 'shown',
    questions: ['advance'],
  },
  {
    id: 'look-first',
    label: 'look first',
    layer: 'reaches',
    symbol: 'look-first',
    season: null,
    questions: ['downstream', 'sheets'],
    when: of => of('look') === 'first',
  },
  {
    id: 'look-next',
    label: 'look next',
    layer: 'reaches',
    symbol: 'look-next',
    season: null,
    questions: ['downstream', 'sheets'],
    when: of => of('look') === 'next',
  },
  {
    id: 'look-low',
    label: 'low',
    layer: 'reaches',
    symbol: 'look-low',
    season: null,
    questions: ['downstream'],
    when: of => of('look') === 'low',
  },
  {
    id: 'flood-first',
    label: 'look first, flood',
    layer: 'reaches',
    symbol: 'flood-first',
    season: null,
    questions: ['downstream'],
    when: of => of('flood_look') === 'first',
    isOff: true,
  },
  {
    id: 'flood-next',
    label: 'look next, flood',
    layer: 'reaches',
    symbol: 'flood-next',
    season: null,
    questions: ['downstream'],
    when: of => of('flood_look') === 'next',
    isOff: true,
  },
  {
    id: 'flood-low',
    label: 'low, flood',
    layer: 'reaches',
    symbol: 'flood-low',
    season: null,
    questions: ['downstream'],
    when: of => of('flood_look') === 'low',
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
    season: null,
    questions: ['outline', 'downstream'],
    when: of => of('status') === 'infested',
  },
  {
    id: 'parcels-near',
    label: 'parcels, near: check',
    layer: 'parcels',
    symbol: 'parcel-near',
    season: null,
    questions: ['outline', 'downstream'],
    when: of => of('status') === 'near',
  },
  {
    id: 'parcels-downstream',
    label: 'parcels downstream',
    layer: 'parcels',
    symbol: 'parcel-downstream',
    season: null,
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

/** The legend of a question: a row for each thing that is drawn, and no other. */
export function buildLegend(question: QuestionId, choice: SeasonChoice, layers: readonly MapLayer[]): LegendRow[] {
  const rows = SPECS.flatMap((spec): LegendRow[] => {
    const layer = layers.find(entry => entry.id === spec.layer)
    if (!layer || !spec.questions.includes(question)) return []
    const season = spec.season === null ? null : choice[spec.season]
    if (spec.season !== null && season === null) return []
    if (!hasFeature(layer, spec, season)) return []
    const label = season === null ? spec.label : `${spec.label}, ${season}`
    return [{ id: spec.id, label, layer: spec.layer, symbol: spec.symbol, season, isOn: spec.isOff !== true }]
  })
  return [...rows, ...referenceRows(layers)]
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

function hasFeature({ layer }: MapLayer, { when }: RowSpec, season: string | null): boolean {
  const seasons =
    layer.columns.find(column => column.name === 'season') ?? layer.columns.find(column => column.name === 'to')
  for (let i = 0; i < layer.featureCount; i++) {
    if (season !== null && seasons && columnValue(seasons, i) !== season) continue
    const value = (name: string) => {
      const column = layer.columns.find(entry => entry.name === name)
      return column ? columnValue(column, i) : null
    }
    if (!when || when(value)) return true
  }
  return false
}
