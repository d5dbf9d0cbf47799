import type { DateFormat } from '../model/brief.ts'
import { dayNumber, type PlainDate } from '../model/date.ts'
import { InputError, type Problem } from '../model/problem.ts'

/** How the dates of a column are written; dates that start with the year or name the month are read by every format. */
export type DecidedDateFormat = 'iso' | 'mdy' | 'dmy'

const TIME_PART =
  /(?:T|[\s,]+)\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?\s*(?:[ap]\.?m\.?)?\s*(?:Z|[+-]\d{2}(?::?\d{2})?|[A-Z]{2,4})?$/i
const YEAR_FIRST = /^(\d{4})([-/.])(\d{1,2})\2(\d{1,2})$/
const YEAR_FIRST_BARE = /^(\d{4})(\d{2})(\d{2})$/
const YEAR_LAST = /^(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})$/
const DAY_AND_MONTH_NAME = /^(\d{1,2})[\s-]([A-Za-z]{3,9})\.?[\s,-]+(\d{4}|\d{2})$/
const MONTH_NAME_AND_DAY = /^([A-Za-z]{3,9})\.?\s(\d{1,2}),?\s(\d{4})$/
const MONTHS = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec']
const MONTH_NAMES =
  /^(jan(uary)?|feb(ruary)?|mar(ch)?|apr(il)?|may|june?|july?|aug(ust)?|sept?(ember)?|oct(ober)?|nov(ember)?|dec(ember)?)$/i

/** Whether the text ends in a time of day, which `parseDate` cuts off. */
export const hasTimePart = (text: string): boolean => TIME_PART.test(text.trim())

/**
 * The calendar date of a cell, the time of day cut off as written (no shift by zone); null where it is none.
 * Two-digit years are 1970 to 2069.
 */
export function parseDate(text: string, format: DecidedDateFormat): PlainDate | null {
  // No date is longer; keeps odd cells cheap.
  if (text.length > 60) return null
  const day = text.trim().replace(TIME_PART, '').trim()
  const plain = parseUnmistakable(day)
  if (plain !== undefined) return plain
  const parts = YEAR_LAST.exec(day)
  if (!parts || format === 'iso') return null
  const [first, second, year] = [Number(parts[1]), Number(parts[3]), fullYear(parts[4]!)]
  return format === 'mdy' ? checkedDate(year, first, second) : checkedDate(year, second, first)
}

/** Dates that read one way only; undefined where the text is not of such a form, null where it is and is no date. */
function parseUnmistakable(day: string): PlainDate | null | undefined {
  const yearFirst = YEAR_FIRST.exec(day)
  if (yearFirst) return checkedDate(Number(yearFirst[1]), Number(yearFirst[3]), Number(yearFirst[4]))
  const bare = YEAR_FIRST_BARE.exec(day)
  if (bare) return checkedDate(Number(bare[1]), Number(bare[2]), Number(bare[3]))
  const dayNamed = DAY_AND_MONTH_NAME.exec(day)
  if (dayNamed) return checkedDate(fullYear(dayNamed[3]!), monthOf(dayNamed[2]!), Number(dayNamed[1]))
  const monthNamed = MONTH_NAME_AND_DAY.exec(day)
  if (monthNamed) return checkedDate(Number(monthNamed[3]), monthOf(monthNamed[1]!), Number(monthNamed[2]))
  return undefined
}

const monthOf = (name: string): number =>
  MONTH_NAMES.test(name) ? MONTHS.indexOf(name.slice(0, 3).toLowerCase()) + 1 : 0

function fullYear(digits: string): number {
  const year = Number(digits)
  return digits.length === 4 ? year : year < 70 ? 2000 + year : 1900 + year
}

function checkedDate(year: number, month: number, day: number): PlainDate | null {
  const pad = (value: number, width: number) => String(value).padStart(width, '0')
  const date = `${pad(year, 4)}-${pad(month, 2)}-${pad(day, 2)}`
  return Number.isNaN(dayNumber(date)) ? null : date
}

/** So many times more dates must fit one order alone than the other before the few are taken for slips. */
const MAJORITY = 10

/**
 * Which order the dates of a whole column are written in. Dates that start with the year or name the month do not vote.
 * With `auto`: the order that some dates prove (a number over 12) and at most a tenth as many deny; month first where
 * both orders give the same dates.
 * Absent: undefined where both orders fit and differ, or where proofs stand against each other.
 */
export function findDateFormat(values: Iterable<string | null>, wanted: DateFormat): DecidedDateFormat | undefined {
  if (wanted !== 'auto') return wanted
  let [monthFirst, dayFirst, either, differing] = [0, 0, 0, 0]
  // A column repeats its dates: each text is read once and votes as often as it stands there.
  for (const [text, votes] of countTexts(values)) {
    if (parseDate(text, 'iso') !== null) continue
    const mdy = parseDate(text, 'mdy')
    const dmy = parseDate(text, 'dmy')
    if (mdy !== null && dmy === null) monthFirst += votes
    else if (mdy === null && dmy !== null) dayFirst += votes
    else if (mdy !== null) {
      either += votes
      if (mdy !== dmy) differing += votes
    }
  }
  if (monthFirst + dayFirst + either === 0) return 'iso'
  if (monthFirst + dayFirst === 0) return differing === 0 ? 'mdy' : undefined
  if (monthFirst >= MAJORITY * dayFirst) return 'mdy'
  return dayFirst >= MAJORITY * monthFirst ? 'dmy' : undefined
}

function countTexts(values: Iterable<string | null>): Map<string, number> {
  const counts = new Map<string, number>()
  for (const text of values) {
    if (text !== null && text.length <= 60) counts.set(text, (counts.get(text) ?? 0) + 1)
  }
  return counts
}

/**
 * `findDateFormat`, or an InputError that asks for the order where the dates leave it open. `place` is file and field;
 * `rows` are the rows of the values in the file.
 */
export function decideDateFormat(
  values: readonly (string | null)[],
  wanted: DateFormat,
  { rows, ...place }: Pick<Problem, 'file' | 'field'> & { readonly rows?: ArrayLike<number> } = {},
): DecidedDateFormat {
  const format = findDateFormat(values, wanted)
  if (format !== undefined) return format
  const first = values.findIndex(text => text !== null && /^\s*\d{1,2}[-/.]\d{1,2}[-/.]/.test(text))
  const [example, row] = [values[first] ?? '', rows?.[first]]
  throw new InputError({
    code: 'date-order',
    ...place,
    ...(row === undefined ? {} : { row }),
    value: example.slice(0, 80),
    reason: 'The dates can be read month first and day first, and the two differ',
    remedy: 'Set "date_format" of that file to "mdy" or "dmy" in the brief.',
  })
}
