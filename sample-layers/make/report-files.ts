import { REPORT_FIELDS, type ReportField } from '../../core/formats/index.ts'
import { COVER_RANGES } from './cover-ranges.ts'
import { toGlobe } from './globe.ts'
import type { Sighting } from './reports.ts'
import type { SeasonYear } from './vine.ts'

/** Fields that the programme's forms have: all that a report can have, notes apart. */
type FormField = Exclude<ReportField, 'notes'>
const FIELDS = REPORT_FIELDS.filter((field): field is FormField => field !== 'notes')

/** How the programme's form wrote its export in a year; forms change. */
export interface ExportForm {
  readonly columns: Readonly<Record<FormField, string>>
  readonly separator: ',' | ';'
  readonly hasBom: boolean
  readonly found: readonly [yes: string, no: string]
  readonly cover: 'class' | 'range' | 'range-percent'
  readonly date: 'iso' | 'mdy' | 'mixed'
}

const named = (columns: string): Record<FormField, string> =>
  Object.fromEntries(columns.split('|').map((column, i) => [FIELDS[i], column])) as Record<FormField, string>

const SNAKE = FIELDS.join('|')

export const FORMS: Readonly<Record<SeasonYear, ExportForm>> = {
  2021: {
    columns: named(
      'Report No|Date seen|Longitude|Latitude|Found?|Cover class|Size (sq m)|What was seen|GPS accuracy (m)|Recorder|Training|Confirmed by|Status|Accuracy level|Looked within (m)|Consent',
    ),
    separator: ',',
    hasBom: false,
    found: ['yes', 'no'],
    cover: 'class',
    date: 'mdy',
  },
  2022: {
    columns: named(
      'obs_id|obs_date|x|y|seen|cover_pct|patch_m2|evidence|acc_m|observer|training|verifier|review|acc_level|search_m|share',
    ),
    separator: ';',
    hasBom: true,
    found: ['1', '0'],
    cover: 'range',
    date: 'iso',
  },
  2023: {
    columns: named(
      'id|date|lon|lat|result|cover|size_m2|evidence|accuracy_m|recorder|training|confirmed_by|status|accuracy_level|extent_m|consent',
    ),
    separator: ',',
    hasBom: false,
    found: ['found', 'not found'],
    cover: 'class',
    date: 'mixed',
  },
  2024: {
    columns: named(SNAKE),
    separator: ',',
    hasBom: false,
    found: ['yes', 'no'],
    cover: 'range-percent',
    date: 'iso',
  },
  2025: { columns: named(SNAKE), separator: ',', hasBom: false, found: ['yes', 'no'], cover: 'class', date: 'iso' },
}

export interface WrittenSeason {
  readonly bytes: Uint8Array
  /** Id of each row in turn ('' where left blank), rows from 2: the header is row 1. */
  readonly ids: readonly string[]
  readonly rows: readonly Sighting[]
}

/** The season's export, in the order in which reports came in. */
export function writeReports(sightings: readonly Sighting[], season: SeasonYear): WrittenSeason {
  const form = FORMS[season]
  const rows = sightings
    .map((row, i) => ({ row, i }))
    .sort((a, b) => (a.row.date < b.row.date ? -1 : a.row.date > b.row.date ? 1 : a.i - b.i))
    .map(({ row }) => row)
  const ids = rows.map((row, i) => row.written.id ?? `V${String(season).slice(2)}-${String(i + 1).padStart(4, '0')}`)
  const lines = [
    FIELDS.map(field => form.columns[field]),
    ...rows.map((row, i) => cells(row, ids[i] as string, form, i)),
  ]
  const text = lines.map(line => line.map(cell => quote(cell, form.separator)).join(form.separator)).join('\r\n')
  return { bytes: new TextEncoder().encode(`${form.hasBom ? '\uFEFF' : ''}${text}\r\n`), ids, rows }
}

const quote = (cell: string, separator: string): string =>
  cell.includes(separator) || cell.includes('"') ? `"${cell.replaceAll('"', '""')}"` : cell

function cells(row: Sighting, id: string, form: ExportForm, index: number): string[] {
  const [lon, lat] = toGlobe(row.at)
  const known = (value: string | number | null) => (value === null ? '' : String(value))
  return [
    id,
    row.written.date ?? dateAs(row.date, form.date, index),
    row.written.lon ?? lon.toFixed(6),
    row.written.lat ?? lat.toFixed(6),
    form.found[row.isFound ? 0 : 1],
    row.written.cover ?? coverAs(row.cover, form.cover),
    known(row.size),
    row.evidence,
    known(row.accuracy),
    row.recorder,
    row.training,
    row.confirmedBy,
    row.status,
    known(row.accuracyLevel),
    known(row.extent),
    row.consent,
  ]
}

function dateAs(date: string, form: ExportForm['date'], index: number): string {
  const [year, month, day] = date.split('-').map(Number) as [number, number, number]
  return form === 'mdy' || (form === 'mixed' && index % 9 !== 4) ? `${month}/${day}/${year}` : date
}

function coverAs(cover: number | null, form: ExportForm['cover']): string {
  if (cover === null) return ''
  if (form === 'class') return String(cover)
  return `${COVER_RANGES[cover - 1]}${form === 'range-percent' ? '%' : ''}`
}
