import type { LegendRow } from '../../core/desk-view.ts'
import type { RowState } from '../state/window-state.ts'
import type { DrawnLayer } from './map-style.ts'
import { isKnownSymbol } from './marks.ts'

/** A legend row's switch keeps its place when the season changes. */
export const rowKey = (row: LegendRow): string => `${row.layer}/${row.symbol}`

export const rowState = (row: LegendRow, rows: Readonly<Record<string, RowState>>): RowState =>
  rows[rowKey(row)] ?? (row.isOn ? 'show' : 'hide')

export const NEXT_STATE: Readonly<Record<RowState, RowState>> = { show: 'dim', dim: 'hide', hide: 'show' }

const STRENGTH: Readonly<Record<RowState, number>> = { show: 1, dim: 0.3, hide: 0 }

const isOf = (row: LegendRow, layer: DrawnLayer): boolean =>
  row.layer === layer.mark.layer &&
  (row.symbol === layer.mark.symbol || !isKnownSymbol(row.layer, row.symbol)) &&
  (row.season === null || layer.season === null || row.season === layer.season)

/** How strongly a style layer is drawn (0-1): as its legend row says; not at all without a row. */
export function layerStrength(
  layer: DrawnLayer,
  legend: readonly LegendRow[],
  rows: Readonly<Record<string, RowState>>,
): number {
  let most = 0
  for (const row of legend) if (isOf(row, layer)) most = Math.max(most, STRENGTH[rowState(row, rows)])
  return most
}
