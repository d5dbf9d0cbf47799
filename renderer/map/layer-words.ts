import type { MapLayerId } from '../../core/desk-view.ts'

/** Layers by the words that lists and switches use. */
export const LAYER_WORDS: Readonly<Record<MapLayerId, string>> = {
  parcels: 'Parcels',
  boundary: 'Boundary',
  flood: 'Flood extent',
  searched: 'Searched ground',
  reference: 'Reference',
  carriers: 'Carriers',
  reaches: 'Reaches',
  patches: 'Patches',
  finds: 'Finds',
  clear: 'Not found',
  arrows: 'Front arrows',
}
