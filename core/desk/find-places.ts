import type { FindHit, MapLayer, MapLayerId } from '../desk-view.ts'
import { columnValue, type Layer } from '../geo/index.ts'
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

/** Patches, reaches, parcels and reports whose name or id holds the text; those that begin with it first. */
export function findPlaces(text: string, layers: readonly MapLayer[]): FindHit[] {
  const wanted = text.trim().toLowerCase()
  if (wanted === '') return []
  const hits: { hit: FindHit; rank: number }[] = []
  for (const entry of SEARCHED) {
    const layer = layers.find(candidate => candidate.id === entry.layer)?.layer
    if (layer) hits.push(...hitsIn(layer, entry, wanted))
  }
  return hits
    .sort((a, b) => a.rank - b.rank)
    .slice(0, MOST_HITS)
    .map(({ hit }) => hit)
}

function hitsIn(layer: Layer, entry: Searchable, wanted: string): { hit: FindHit; rank: number }[] {
  const columns = entry.columns(layer).map(name => layer.columns.find(column => column.name === name))
  const hits: { hit: FindHit; rank: number }[] = []
  for (let fid = 0; fid < layer.featureCount && hits.length < MOST_HITS * 5; fid++) {
    const values = columns.map(column => String((column && columnValue(column, fid)) ?? ''))
    const label = entry.label(values)
    const lower = [label, ...values].map(value => value.toLowerCase())
    if (!lower.some(value => value.includes(wanted))) continue
    const rank = lower.some(value => value === wanted) ? 0 : lower.some(value => value.startsWith(wanted)) ? 1 : 2
    hits.push({ rank, hit: { label, kind: entry.kind, layer: entry.layer, fid, box: boxOfFeature(layer, fid) } })
  }
  return hits
}
