/** The order of the legend and of drawing, and which charts stand in rows. */
import { expect, test } from 'vitest'
import { LEGEND_SYMBOLS, type LegendRow } from '../../core/desk-view.ts'
import { moveKey, orderLayers, orderRows, rowKey } from '../../renderer/map/legend-state.ts'
import type { DrawnLayer } from '../../renderer/map/map-style.ts'
import { isKnownSymbol, MARKS } from '../../renderer/map/marks.ts'
import { isInRows } from '../../renderer/questions/bars-in-rows.ts'

const row = (layer: LegendRow['layer'], symbol: string, source?: string): LegendRow => ({
  id: source ?? symbol,
  label: symbol,
  layer,
  symbol,
  season: null,
  isOn: true,
  ...(source === undefined ? {} : { source }),
})

const LEGEND = [
  row('parcels', 'parcel'),
  row('reaches', 'reach'),
  row('patches', 'patch-shown'),
  row('reference', 'reference', 'roads'),
  row('reference', 'reference', 'rail'),
]
const symbols = (rows: readonly LegendRow[]) => rows.map(one => one.id)
const keys = (rows: readonly LegendRow[]) => rows.map(rowKey)

test('every symbol that a legend may name is drawn', () => {
  for (const [layer, names] of Object.entries(LEGEND_SYMBOLS))
    for (const name of names) expect(isKnownSymbol(layer as LegendRow['layer'], name), name).toBe(true)
})

test('rows stand as they are drawn, from the top', () => {
  expect(symbols(orderRows(LEGEND, []))).toEqual(['patch-shown', 'reach', 'roads', 'rail', 'parcel'])
})

test('a row takes the place of the one it is moved to; the others close up', () => {
  const shown = keys(orderRows(LEGEND, []))
  const up = moveKey([], shown, shown[4]!, shown[1]!)
  expect(symbols(orderRows(LEGEND, up))).toEqual(['patch-shown', 'parcel', 'reach', 'roads', 'rail'])
  const down = moveKey(up, keys(orderRows(LEGEND, up)), 'patches/patch-shown', 'reference/reference/rail')
  expect(symbols(orderRows(LEGEND, down))).toEqual(['parcel', 'reach', 'roads', 'rail', 'patch-shown'])
  expect(moveKey(down, down, down[2]!, down[2]!)).toEqual(down)
})

test('rows of another question keep their usual neighbours and do not undo what was moved', () => {
  const moved = moveKey([], keys(orderRows(LEGEND, [])), 'reference/reference/rail', 'patches/patch-shown')
  const other = [row('flood', 'flood'), row('reaches', 'reach'), row('reference', 'reference', 'rail')]
  expect(symbols(orderRows(other, moved))).toEqual(['rail', 'reach', 'flood'])
})

test('style layers follow the legend from the ground up, the strokes of one mark in their own order', () => {
  const drawn = MARKS.filter(({ symbol }) => ['parcel', 'reach', 'patch-shown'].includes(symbol)).flatMap(mark =>
    [0, 1].map((n): DrawnLayer => ({ id: `${mark.symbol}/${n}`, mark, part: null, type: 'line', opacity: 1 })),
  )
  const order = ['parcels/parcel', 'patches/patch-shown', 'reaches/reach']
  expect(orderLayers(drawn, order)).toEqual([
    'reach/0',
    'reach/1',
    'patch-shown/0',
    'patch-shown/1',
    'parcel/0',
    'parcel/1',
  ])
})

test('bars stand in rows where their names would run into each other', () => {
  const chart = (labels: readonly string[], kind: 'bars' | 'seasons' = 'bars') => ({
    title: '',
    kind,
    yKind: 'count' as const,
    points: labels.map((label, x) => ({ label, x, y: 1 })),
    fit: null,
    note: [],
  })
  expect(isInRows(chart(['first', 'next', 'low', 'first, flood', 'next, flood', 'low, flood']))).toBe(false)
  expect(isInRows(chart(Array.from({ length: 10 }, (_, i) => `Longitude and latitude swapped ${i}`)))).toBe(true)
  expect(isInRows(chart(['2021', '2022', '2023', '2024', '2025'], 'seasons'))).toBe(false)
})
