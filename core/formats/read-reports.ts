import { columnValue, findColumn, type Layer, projectLayerToGlobe } from '../geo/index.ts'
import type { LayerSource } from '../model/brief.ts'
import type { CoverTable } from '../model/cover.ts'
import { InputError, type Problem } from '../model/problem.ts'
import type { Report } from '../model/report.ts'
import { buildReport, type ReportCells } from './build-report.ts'
import { shortValue } from './file-reading.ts'
import { decideDateFormat } from './parse-date.ts'
import { placeReports } from './place-reports.ts'
import { REPORT_FIELDS, type ReportField } from './report-fields.ts'

export interface ReportsReading {
  readonly reports: readonly Report[]
  /** Rows without a usable date, place or found; one problem a row. */
  readonly rejected: readonly Problem[]
  /** Optional values that could not be used (taken as absent) and ids that were made unique. */
  readonly warnings: readonly Problem[]
}

export interface ReportsOptions {
  /** File as the brief names it. */
  readonly file: string
  readonly coverTable: CoverTable
}

/**
 * The reports of a layer: each field from the column that the source maps, else from the column of its own name.
 * The place comes from those columns, else from the layer's points. Ids are unique within the result.
 * Errors: InputError for a mapped column that is not there, a missing date or found column, or dates whose order is open.
 */
export function readReports(layer: Layer, source: LayerSource, options: ReportsOptions): ReportsReading {
  const columns = mapColumns(layer, source, options.file)
  const dates = columns.get('date')!
  const dateTexts = Array.from({ length: layer.featureCount }, (_, i) => cellText(dates, i))
  const dateFormat = decideDateFormat(dateTexts, source.dateFormat, {
    file: options.file,
    field: dates.name,
    rows: layer.rows,
  })
  const places = placeReports(layer, source, { lon: columns.get('lon'), lat: columns.get('lat') }, projectLayerToGlobe)
  const reports: Report[] = []
  const rejected: Problem[] = []
  const warnings: Problem[] = []
  for (let i = 0; i < layer.featureCount; i++) {
    const row = layer.rows[i] ?? i + 1
    const at = (field: string, value: string | null, problem: Pick<Problem, 'code' | 'reason' | 'remedy'>): Problem => {
      const column = columns.get(field as ReportField)?.name ?? field
      return { ...problem, file: options.file, row, field: column, ...(value !== null && { value: shortValue(value) }) }
    }
    const cells: ReportCells = field => cellText(columns.get(field), i)
    const built = buildReport({
      cells,
      place: places[i]!,
      file: options.file,
      row,
      dateFormat,
      coverTable: options.coverTable,
    })
    warnings.push(...built.warnings.map(({ field, value, ...problem }) => at(field, value, problem)))
    if ('fault' in built) rejected.push(at(built.fault.field, built.fault.value, built.fault.problem))
    else reports.push(built.report)
  }
  const unique = makeReportIdsUnique(reports)
  return { reports: unique.reports, rejected, warnings: [...warnings, ...unique.warnings] }
}

type ReportColumns = ReadonlyMap<ReportField, Layer['columns'][number]>

function mapColumns(layer: Layer, source: LayerSource, file: string): ReportColumns {
  const columns = new Map<ReportField, Layer['columns'][number]>()
  const held = layer.columns.map(column => column.name).join(', ') || 'none'
  for (const field of REPORT_FIELDS) {
    const mapped = Object.hasOwn(source.fields, field) ? source.fields[field] : undefined
    const column = findColumn(layer, mapped ?? field)
    if (mapped !== undefined && column === undefined) {
      const reason = `The file has no column "${mapped}", which is to be the field ${field}`
      throw new InputError({
        code: 'column-missing',
        file,
        field,
        value: shortValue(mapped),
        reason,
        remedy: `Columns in it: ${held}.`,
      })
    }
    if (column) columns.set(field, column)
  }
  for (const field of ['date', 'found'] as const) {
    if (columns.has(field)) continue
    const reason = `The reports have no column for the field ${field}`
    throw new InputError({
      code: 'column-missing',
      file,
      field,
      reason,
      remedy: `Name it under "fields"; columns in it: ${held}.`,
    })
  }
  const hasPoints = layer.kind === 'point' || layer.kind === 'mixed'
  if (!hasPoints && layer.featureCount > 0 && !(columns.has('lon') && columns.has('lat'))) {
    const reason = 'The reports have no columns for lon and lat, and no points'
    throw new InputError({
      code: 'column-missing',
      file,
      field: 'lon',
      reason,
      remedy: `Name them under "fields"; columns in it: ${held}.`,
    })
  }
  return columns
}

function cellText(column: Layer['columns'][number] | undefined, i: number): string | null {
  const value = column === undefined ? null : columnValue(column, i)
  const text = value === null ? '' : String(value).trim()
  return text === '' ? null : text
}

/**
 * Gives every report an id of its own: a blank id becomes `file#row`, the second and later of one id `id (file#row)`.
 * Reports keep their order; call it again over the reports of all files together.
 */
export function makeReportIdsUnique(reports: readonly Report[]): {
  readonly reports: readonly Report[]
  readonly warnings: readonly Problem[]
} {
  const taken = new Set<string>()
  const blank = new Map<string, number>()
  const repeated = new Map<string, number>()
  const count = (counts: Map<string, number>, file: string) => counts.set(file, (counts.get(file) ?? 0) + 1)
  const unique = reports.map(report => {
    const place = `${report.file}#${report.row}`
    const wanted = report.id === '' ? place : report.id
    if (report.id === '') count(blank, report.file)
    if (!taken.has(wanted)) {
      taken.add(wanted)
      return report.id === wanted ? report : { ...report, id: wanted }
    }
    count(repeated, report.file)
    let free = `${wanted} (${place})`
    for (let n = 2; taken.has(free); n++) free = `${wanted} (${place}, ${n})`
    taken.add(free)
    return { ...report, id: free }
  })
  const warn = (counts: Map<string, number>, code: string, what: string): Problem[] =>
    [...counts].map(([file, n]) => ({
      code,
      file,
      field: 'id',
      reason: `${n} reports ${what}; file and row make theirs unique`,
    }))
  return {
    reports: unique,
    warnings: [...warn(blank, 'id-blank', 'have no id'), ...warn(repeated, 'id-repeated', 'repeat an id')],
  }
}
