import { type CoverTable, parseCover } from '../model/cover.ts'
import type { Problem } from '../model/problem.ts'
import type { Report } from '../model/report.ts'
import type { Degrees, Metres, SquareMetres } from '../model/units.ts'
import { type DecidedDateFormat, parseDate } from './parse-date.ts'
import type { ReportPlace } from './place-reports.ts'
import type { ReportField } from './report-fields.ts'
import {
  EXPECTED,
  parseConsent,
  parseEvidence,
  parseFound,
  parseLevel,
  parseMeasure,
  parseStatus,
  parseTraining,
} from './report-values.ts'

/** The trimmed text of a field of one row; null where it is blank or has no column. */
export type ReportCells = (field: ReportField) => string | null

type Fault = Pick<Problem, 'code' | 'reason' | 'remedy'>
/** A value that was taken as absent. */
type ValueWarning = Fault & { readonly field: ReportField; readonly value: string | null }

export type BuiltReport =
  | { readonly report: Report; readonly warnings: readonly ValueWarning[] }
  | {
      readonly fault: { readonly field: ReportField; readonly value: string | null; readonly problem: Fault }
      readonly warnings: readonly ValueWarning[]
    }

interface RowInput {
  readonly cells: ReportCells
  readonly place: ReportPlace
  readonly file: string
  readonly row: number
  readonly dateFormat: DecidedDateFormat
  readonly coverTable: CoverTable
}

/** One row as a report, or the first of date, place and found that cannot be used; a blank id stays ''. */
export function buildReport(input: RowInput): BuiltReport {
  const { cells, place } = input
  const reject = (field: ReportField, value: string | null, reason: string, remedy: string): BuiltReport => ({
    fault: { field, value, problem: { code: `report-${field}`, reason, remedy } },
    warnings: [],
  })
  const dateText = cells('date')
  const date = dateText === null ? null : parseDate(dateText, input.dateFormat)
  if (date === null) {
    const reason = dateText === null ? 'The date is blank' : `This is no date (${DATE_WORDS[input.dateFormat]})`
    return reject('date', dateText, reason, 'Write the date as YYYY-MM-DD.')
  }
  if ('fault' in place) {
    return reject(place.field, place.value, place.fault, 'Give longitude and latitude in decimal degrees.')
  }
  const foundText = cells('found')
  const isFound = foundText === null ? null : parseFound(foundText)
  if (isFound === null) {
    const reason =
      foundText === null ? 'It does not say whether the plant was found' : 'This says neither found nor not found'
    return reject('found', foundText, reason, `Write ${EXPECTED.found}.`)
  }
  const warnings: ValueWarning[] = []
  const choices = readChoices(cells, warnings)
  const figures = readFigures(input, isFound, warnings)
  const report: Report = {
    id: cells('id') ?? '',
    file: input.file,
    row: input.row,
    date,
    longitude: place.longitude as Degrees,
    latitude: place.latitude as Degrees,
    isFound,
    ...choices,
    ...figures,
    recorder: cells('recorder'),
    confirmedBy: cells('confirmed_by'),
    notes: cells('notes'),
  }
  return { report, warnings }
}

const DATE_WORDS: Readonly<Record<DecidedDateFormat, string>> = {
  iso: 'dates are read year first',
  mdy: 'dates are read month first',
  dmy: 'dates are read day first',
}

type Choices = Pick<Report, 'evidence' | 'training' | 'status' | 'consent'>

function readChoices(cells: ReportCells, warnings: ValueWarning[]): Choices {
  const choose = <T>(
    field: keyof typeof EXPECTED,
    parse: (text: string) => T | null,
    blank: T,
    unreadable = blank,
  ): T => {
    const text = cells(field)
    if (text === null) return blank
    const value = parse(text)
    if (value !== null) return value
    const reason = `The value is not known; the report is taken as ${String(unreadable)}`
    warnings.push({ code: 'value-unknown', field, value: text, reason, remedy: `Known values: ${EXPECTED[field]}.` })
    return unreadable
  }
  return {
    evidence: choose('evidence', parseEvidence, 'leaf'),
    training: choose('training', parseTraining, 'new'),
    status: choose('status', parseStatus, 'unchecked'),
    // What cannot be read may have asked for privacy: the most careful level stands in.
    consent: choose('consent', parseConsent, 'exact', 'withheld'),
  }
}

type Figures = Pick<Report, 'coverClass' | 'cover' | 'size' | 'accuracy' | 'accuracyLevel' | 'extent'>

function readFigures(input: RowInput, isFound: boolean, warnings: ValueWarning[]): Figures {
  const absent = (field: ReportField, value: string, reason: string): null => {
    warnings.push({
      code: 'value-absent',
      field,
      value,
      reason: `${reason}; it is taken as absent`,
      remedy: 'Correct or blank it.',
    })
    return null
  }
  const measure = (field: ReportField, mayBeZero: boolean): number | null => {
    const text = input.cells(field)
    if (text === null) return null
    const value = parseMeasure(text)
    if (value === null) return absent(field, text, 'This is not a plain number')
    if (value > 0 || (mayBeZero && value === 0)) return value
    return absent(field, text, mayBeZero ? 'The value is negative' : 'The value is not above zero')
  }
  const levelText = input.cells('accuracy_level')
  const level = levelText === null ? null : parseLevel(levelText)
  if (levelText !== null && level === null) absent('accuracy_level', levelText, 'This is no share between 0 and 1')
  const coverText = input.cells('cover')
  const cover = coverText === null ? null : parseCover(coverText, input.coverTable)
  if (coverText !== null && cover === null)
    absent('cover', coverText, `This is no class of ${input.coverTable.name}, range or per cent`)
  return {
    coverClass: cover === null ? null : coverText,
    cover,
    size: measure('size_m2', !isFound) as SquareMetres | null,
    accuracy: measure('accuracy_m', false) as Metres | null,
    accuracyLevel: level,
    extent: measure('extent_m', false) as Metres | null,
  }
}
