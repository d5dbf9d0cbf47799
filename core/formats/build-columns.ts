import type { Column } from '../geo/index.ts'
import { isPlainDate } from '../model/date.ts'
import { jsonText } from './file-reading.ts'

/**
 * A column from values as a file gave them (null where absent), with the narrowest type that loses nothing:
 * boolean, integer (all safe whole numbers), number, date (all plain dates), else text. Objects and lists become JSON text.
 */
export function buildColumn(name: string, values: readonly unknown[]): Column {
  const types = new Set<string>()
  let isWhole = true
  let isDate = true
  for (const value of values) {
    if (value === null || value === undefined) continue
    types.add(typeof value)
    if (typeof value === 'number') isWhole &&= Number.isSafeInteger(value)
    if (typeof value === 'string') isDate &&= isPlainDate(value)
  }
  if (types.size === 1 && types.has('boolean')) return { name, type: 'boolean', values: Uint8Array.from(values, flag) }
  if (types.size === 1 && types.has('number')) {
    return { name, type: isWhole ? 'integer' : 'number', values: Float64Array.from(values, numberOrNaN) }
  }
  const isAllDates = types.size === 1 && types.has('string') && isDate
  return { name, type: isAllDates ? 'date' : 'text', values: values.map(textOrNull) }
}

const flag = (value: unknown): number => (value === false ? 0 : value === true ? 1 : 2)
const numberOrNaN = (value: unknown): number => (typeof value === 'number' ? value : Number.NaN)

function textOrNull(value: unknown): string | null {
  if (value === null || value === undefined) return null
  if (typeof value === 'string') return value
  return typeof value === 'object' ? jsonText(value) : String(value)
}

/** Column names made unique and never empty: `name`, `name_2`; `column_3` for a blank third one. */
export function uniqueNames(names: readonly string[]): string[] {
  const taken = new Set<string>()
  return names.map((name, index) => {
    const wanted = name.trim() === '' ? `column_${index + 1}` : name.trim()
    let free = wanted
    for (let n = 2; taken.has(free); n++) free = `${wanted}_${n}`
    taken.add(free)
    return free
  })
}
