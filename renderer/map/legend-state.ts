import type { LegendRow } from '../../core/desk-view.ts'
import type { RowState } from '../state/window-state.ts'
import type { DrawnLayer } from './map-style.ts'
import { isKnownSymbol, MARKS } from './marks.ts'

/** A legend row's switch and place stay when the season changes. */
export const rowKey = ({ layer, symbol, source }: Pick<LegendRow, 'layer' | 'symbol' | 'source'>): string =>
  source === undefined ? `${layer}/${symbol}` : `${layer}/${symbol}/${source}`

const layerKey = ({ mark, part }: DrawnLayer): string =>
  mark.partColumn === 'source' && part !== null
    ? `${mark.layer}/${mark.symbol}/${part}`
    : `${mark.layer}/${mark.symbol}`

export const rowState = (row: LegendRow, rows: Readonly<Record<string, RowState>>): RowState =>
  rows[rowKey(row)] ?? (row.isOn ? 'show' : 'hide')

export const NEXT_STATE: Readonly<Record<RowState, RowState>> = { show: 'dim', dim: 'hide', hide: 'show' }

const STRENGTH: Readonly<Record<RowState, number>> = { show: 1, dim: 0.3, hide: 0 }

const isOf = (row: LegendRow, layer: DrawnLayer): boolean => {
  const parts = row.seasons ?? [row.season ?? row.source ?? null]
  return (
    row.layer === layer.mark.layer &&
    (row.symbol === layer.mark.symbol || !isKnownSymbol(row.layer, row.symbol)) &&
    (layer.part === null || parts.some(part => part === null || part === layer.part))
  )
}

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

/** Where each kind of mark stands when nobody moved it: the order of drawing, the topmost first. */
const STANDING: ReadonlyMap<string, number> = new Map(
  [...MARKS].reverse().map(({ layer, symbol }, place) => [`${layer}/${symbol}`, place]),
)

const placeOf = (key: string): number => STANDING.get(key.split('/').slice(0, 2).join('/')) ?? STANDING.size

/** Keys in the order of drawing, the topmost first: those that were moved as they were left, the rest beside their usual neighbours. */
export function orderKeys(keys: readonly string[], moved: readonly string[]): string[] {
  const placed = moved.filter(key => keys.includes(key))
  const rest = keys.filter(key => !placed.includes(key))
  const order = [...placed]
  for (const key of rest) {
    const before = order.findIndex(other => placeOf(other) > placeOf(key))
    order.splice(before < 0 ? order.length : before, 0, key)
  }
  return order
}

/** Legend rows from the top of the drawing down. */
export function orderRows(legend: readonly LegendRow[], moved: readonly string[]): LegendRow[] {
  const order = orderKeys([...new Set(legend.map(rowKey))], moved)
  return [...legend].sort((a, b) => order.indexOf(rowKey(a)) - order.indexOf(rowKey(b)))
}

/** Ids of the style layers from the ground up, for an order of keys from the top down. */
export function orderLayers(drawn: readonly DrawnLayer[], moved: readonly string[]): string[] {
  const order = orderKeys([...new Set(drawn.map(layerKey))], moved)
  const place = new Map(order.map((key, at) => [key, at]))
  return [...drawn]
    .map((layer, at) => ({ layer, at }))
    .sort((a, b) => place.get(layerKey(b.layer))! - place.get(layerKey(a.layer))! || a.at - b.at)
    .map(({ layer }) => layer.id)
}

/** The order after one key went to another one's place; keys of other questions keep theirs. */
export function moveKey(moved: readonly string[], shown: readonly string[], key: string, target: string): string[] {
  const all = orderKeys([...new Set([...moved, ...shown])], moved)
  const [from, to] = [all.indexOf(key), all.indexOf(target)]
  if (from < 0 || to < 0 || from === to) return all
  all.splice(from, 1)
  all.splice(all.indexOf(target) + (from < to ? 1 : 0), 0, key)
  return all
}
