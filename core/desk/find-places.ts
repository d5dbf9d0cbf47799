import type { FindHit, MapLayer, MapLayerId, SeasonChoice } from '../desk-view.ts'
import { columnValue, findColumn, type Layer } from '../geo/index.ts'
import { boxOfFeature } from './feature-box.ts'

const MOST_HITS = 20

interface Searchable {
  readonly layer: MapLayerId
  readonly kind: FindHit['kind']
  readonly columns: (layer: Layer) => readonly string[]
  readonly label: (values: readonly string[]) => string
}

const SEARCHED: readonly Searchable[] = [
  {
    layer: 'patches',
    kind: 'patch',
    columns: () => ['id', 'season'],
    label: ([id, season]) => `Patch ${id}, ${season}`,
  },
  {
    layer: 'reaches',
    kind: 'reach',
    columns: () => ['name', 'id'],
    label: ([name, id]) => (name ? `${name}, reach ${id}` : `Reach ${id}`),
  },
  {
    layer: 'parcels',
    kind: 'parcel',
    columns: layer => [layer.columns[0]?.name ?? ''],
    label: ([id]) => `Parcel ${id}`,
  },
  { layer: 'finds', kind: 'report', columns: () => ['id'], label: ([id]) => `Report ${id}` },
  { layer: 'clear', kind: 'report', columns: () => ['id'], label: ([id]) => `Report ${id}` },
]

/** Layers whose features are of a season. */
const BY_SEASON: readonly MapLayerId[] = ['patches', 'finds', 'clear']

/**
 * Patches, reaches, parcels and reports whose name or id holds the text; those that are it or begin with it first, and
 * of those the ones of the season shown, then of the compared one.
 */
export function findPlaces(text: string, layers: readonly MapLayer[], choice: SeasonChoice): FindHit[] {
  const wanted = text.trim().toLowerCase()
  if (wanted === '') return []
  const hits: { hit: FindHit; rank: number }[] = []
  for (const entry of SEARCHED) {
    const layer = layers.find(candidate => candidate.id === entry.layer)?.layer
    if (layer) hits.push(...hitsIn(layer, entry, wanted))
  }
  return hits
    .sort((a, b) => a.rank - b.rank || turnOf(a.hit, choice) - turnOf(b.hit, choice))
    .slice(0, MOST_HITS)
    .map(({ hit }) => hit)
}

/** What is of no season waits for nobody. */
function turnOf({ season }: FindHit, choice: SeasonChoice): number {
  if (season === null || season === undefined || season === choice.shown) return 0
  return season === choice.compared ? 1 : 2
}

function hitsIn(layer: Layer, entry: Searchable, wanted: string): { hit: FindHit; rank: number }[] {
  const columns = entry.columns(layer).map(name => layer.columns.find(column => column.name === name))
  const seasons = BY_SEASON.includes(entry.layer) ? findColumn(layer, 'season') : undefined
  const hits: { hit: FindHit; rank: number }[] = []
  for (let fid = 0; fid < layer.featureCount; fid++) {
    const values = columns.map(column => String((column && columnValue(column, fid)) ?? ''))
    const label = entry.label(values)
    const lower = [label, ...values].map(value => value.toLowerCase())
    if (!lower.some(value => value.includes(wanted))) continue
    const rank = lower.some(value => value === wanted) ? 0 : lower.some(value => value.startsWith(wanted)) ? 1 : 2
    const season = seasons ? String(columnValue(seasons, fid) ?? '') || null : null
    hits.push({
      rank,
      hit: { season, label, kind: entry.kind, layer: entry.layer, fid, box: boxOfFeature(layer, fid) },
    })
  }
  return hits
}
