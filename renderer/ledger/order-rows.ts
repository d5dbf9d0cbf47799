import type { LedgerTable } from '../../core/desk-view.ts'

export interface Sort {
  readonly column: number
  readonly isDescending: boolean
}

/** Row numbers in the order to show; absent values come last either way, equal ones stay in the table's order. */
export function orderRows(ledger: LedgerTable, sort: Sort | null): readonly number[] {
  const order = ledger.rows.map((_, row) => row)
  if (sort === null) return order
  const turn = sort.isDescending ? -1 : 1
  const cellOf = (row: number) => ledger.rows[row]![sort.column] ?? null
  const byText = new Intl.Collator(undefined, { numeric: true })
  return order.sort((a, b) => {
    const [left, right] = [cellOf(a), cellOf(b)]
    if (left === null || right === null) return left === right ? a - b : left === null ? 1 : -1
    const gap =
      typeof left === 'number' && typeof right === 'number' ? left - right : byText.compare(String(left), String(right))
    return gap === 0 ? a - b : turn * gap
  })
}

/** The sort after a click on a column's head: up, down, the table's own order. */
export function nextSort(sort: Sort | null, column: number): Sort | null {
  if (sort?.column !== column) return { column, isDescending: false }
  return sort.isDescending ? null : { column, isDescending: true }
}
