import { type Column, columnValue } from '../geo/index.ts'

/** A column to write: text, numbers (written in full) or booleans; null, undefined and NaN become blank cells. */
export interface CsvColumn {
  readonly name: string
  readonly values: ArrayLike<string | number | boolean | null | undefined>
}

/**
 * A table as UTF-8 with commas. Text that a spreadsheet would take for a formula (it begins with = + - @ TAB or CR) gets an
 * apostrophe before it; typed numbers stay as they are.
 * Source: RFC 4180 (quoting, CRLF); OWASP, CSV injection (leading characters).
 */
export function writeCsv(columns: readonly CsvColumn[]): Uint8Array {
  const rows = columns.reduce((most, column) => Math.max(most, column.values.length), 0)
  const lines = [columns.map(column => csvCell(column.name)).join(',')]
  for (let row = 0; row < rows; row++) lines.push(columns.map(column => csvCell(column.values[row])).join(','))
  return new TextEncoder().encode(`${lines.join('\r\n')}\r\n`)
}

/** The columns of a layer, for writing. */
export const csvColumnsOf = (columns: readonly Column[], featureCount: number): CsvColumn[] =>
  columns.map(column => ({
    name: column.name,
    values: Array.from({ length: featureCount }, (_, i) => columnValue(column, i)),
  }))

function csvCell(value: string | number | boolean | null | undefined): string {
  if (value === null || value === undefined) return ''
  if (typeof value === 'number') return Number.isFinite(value) ? String(value) : ''
  const text = typeof value === 'string' && /^[=+\-@\t\r]/.test(value) ? `'${value}` : String(value)
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text
}
