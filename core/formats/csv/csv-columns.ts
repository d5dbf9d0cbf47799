import type { Column } from '../../geo/index.ts'
import { findDateFormat, hasTimePart, parseDate } from '../parse-date.ts'

// An exponent needs a point or a minus beside it: "12E4" is more often an id than a number.
const PLAIN_NUMBER = /^-?(?:(?:0|[1-9]\d*)(?:\.\d+(?:[eE][+-]?\d{1,3})?)?|(?:0|[1-9]\d*)[eE]-\d{1,3}|\.\d+)$/
const COMMA_NUMBER = /^-?(?:0|[1-9]\d*),\d+$/
const WHOLE = /^-?\d{1,15}$/

/** A number as a table writes it plainly (no leading zeros, at most 15 whole digits); undefined where it is not one. */
export function parsePlainNumber(text: string, hasDecimalComma: boolean): number | undefined {
  const clean = text.trim()
  if (hasDecimalComma && COMMA_NUMBER.test(clean)) return Number(clean.replace(',', '.'))
  if (!PLAIN_NUMBER.test(clean)) return undefined
  const value = Number(clean)
  return Math.abs(value) < 1e15 ? value : undefined
}

/**
 * A column of a table from its cells (null where blank). Text stays text ("007" too): only columns whose filled cells are
 * all plain numbers become numbers, all true or false booleans, all dates of one decided order without times dates.
 */
export function buildTableColumn(name: string, cells: readonly (string | null)[], hasDecimalComma: boolean): Column {
  const filled = cells.filter(cell => cell !== null)
  if (filled.length === 0) return { name, type: 'text', values: cells }
  if (filled.every(cell => parsePlainNumber(cell, hasDecimalComma) !== undefined)) {
    const values = Float64Array.from(cells, cell =>
      cell === null ? Number.NaN : parsePlainNumber(cell, hasDecimalComma)!,
    )
    return { name, type: filled.every(cell => WHOLE.test(cell.trim())) ? 'integer' : 'number', values }
  }
  if (filled.every(cell => /^(true|false)$/i.test(cell.trim()))) {
    const flag = (cell: string | null) => (cell === null ? 2 : cell.trim().toLowerCase() === 'true' ? 1 : 0)
    return { name, type: 'boolean', values: Uint8Array.from(cells, flag) }
  }
  return buildDateColumn(name, cells, filled) ?? { name, type: 'text', values: cells }
}

function buildDateColumn(
  name: string,
  cells: readonly (string | null)[],
  filled: readonly string[],
): Column | undefined {
  // The first cell settles most columns.
  if (parseDate(filled[0]!, 'mdy') === null && parseDate(filled[0]!, 'dmy') === null) return undefined
  const format = findDateFormat(filled, 'auto')
  if (format === undefined || filled.some(cell => hasTimePart(cell))) return undefined
  const dates = new Map<string, string | null>([...new Set(filled)].map(cell => [cell, parseDate(cell, format)]))
  const values = cells.map(cell => (cell === null ? null : dates.get(cell)!))
  const isWhole = values.every((value, i) => value !== null || cells[i] === null)
  return isWhole ? { name, type: 'date', values } : undefined
}
