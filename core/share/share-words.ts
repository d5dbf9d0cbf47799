import { measurePathLength } from '../geo/index.ts'
import type { LookOrder } from '../model/downstream.ts'
import type { Phrase, Quantity } from '../model/quantity.ts'
import type { SheetReach, SheetTableRow } from '../model/sheet-content.ts'

/** Rows of the table that stand for bank to look at, by figure. */
const LOOK_ROWS: ReadonlyMap<string, LookOrder> = new Map([
  ['look-first', 'first'],
  ['look-next', 'next'],
])

const MOST_NAMES = 3

/** Length of the reaches of a class, metres. */
const bankOf = (reaches: readonly SheetReach[], look: LookOrder): number =>
  reaches.filter(reach => reach.look === look).reduce((sum, reach) => sum + measurePathLength(reach.path), 0)

/** Where to look, from the reaches that an audience may see; empty where there is none. */
export function lookPhrase(reaches: readonly SheetReach[], where: string): Phrase {
  const first = reaches.filter(reach => reach.look === 'first')
  if (first.length === 0) return []
  const names = [...new Set(first.flatMap(({ name }) => name ?? []))].sort()
  const shown = names.slice(0, MOST_NAMES)
  const rest = names.length > shown.length ? ' and more' : ''
  const on = shown.length === 0 ? '' : `, on ${shown.join(', ')}${rest}`
  return ['Look first along ', { kind: 'length', value: bankOf(reaches, 'first') }, `${where}${on}.`]
}

/** Rows of bank to look at, of the reaches that an audience may see alone. */
export function lookRows(reaches: readonly SheetReach[]): SheetTableRow[] {
  const row = (id: string, label: string, look: LookOrder): SheetTableRow => ({
    id,
    label,
    shown: { kind: 'length', value: bankOf(reaches, look) } satisfies Quantity,
    compared: null,
  })
  return [row('look-first', 'Look first', 'first'), row('look-next', 'Look next', 'next')]
}

/** The table with its rows of bank counted over the reaches that an audience may see. */
export function withLookRows(table: readonly SheetTableRow[], reaches: readonly SheetReach[]): SheetTableRow[] {
  const own = new Map(lookRows(reaches).map(row => [row.id, row]))
  return table.map(row => (LOOK_ROWS.has(row.id) ? { ...row, shown: own.get(row.id)!.shown } : row))
}
