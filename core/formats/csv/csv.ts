/// <reference path="./papaparse.d.ts" />
import papa from 'papaparse'
import { GeometryBuilder, type Layer, layerKind } from '../../geo/index.ts'
import { InputError, type Problem } from '../../model/problem.ts'
import { uniqueNames } from '../build-columns.ts'
import { decodeText } from '../decode-text.ts'
import { baseName, chooseLayers, type FileReading, type ReadOptions, shortValue } from '../file-reading.ts'
import { checkTextLength } from '../geojson/parse-json.ts'
import { buildTableColumn, parsePlainNumber } from './csv-columns.ts'
import {
  asDegrees,
  type CellPosition,
  type CoordinateColumns,
  findCoordinateColumns,
  parseCellPosition,
} from './csv-coordinates.ts'
import { findDelimiter } from './csv-delimiter.ts'

/** One record of the table: its row (the header is row 1) and its cells, null where blank. */
interface TableRow {
  readonly row: number
  readonly cells: readonly (string | null)[]
}

interface Table {
  readonly names: readonly string[]
  readonly rows: readonly TableRow[]
  readonly rejected: Problem[]
  readonly warnings: Problem[]
  readonly isDamaged: boolean
}

/**
 * Reads a table separated by commas, semicolons or tabs. Columns plainly named as longitude and latitude make it points
 * (EPSG:4326, or the CRS that stands in where the values are no degrees); else it is a layer of kind `none`.
 * Absent: a blank cell. Rows with too many or too few cells, or with coordinates that cannot be read, are rejected.
 * Source: RFC 4180 for quoting; decimal commas are read where the separator is not a comma.
 */
export async function readCsv(file: string, bytes: Uint8Array, options: ReadOptions): Promise<FileReading> {
  checkTextLength(file, bytes)
  const { text, encoding, isAssumed } = decodeText(bytes)
  const name = baseName(file)
  chooseLayers(file, [{ name }], options.layer)
  const delimiter = findDelimiter(text)
  await options.task?.step(0, `Reading ${name}`)
  const table = readTable(file, text, delimiter)
  await options.task?.step(0.5, `Reading ${name}`)
  const hasDecimalComma = delimiter !== ','
  const placed = placeRows(file, table, { crs: options.crs, hasDecimalComma })
  const columns = table.names.map((column, c) =>
    buildTableColumn(
      column,
      placed.rows.map(row => row.cells[c]!),
      hasDecimalComma,
    ),
  )
  const layer: Layer = { name, ...placed.layer, featureCount: placed.rows.length, columns, encoding }
  const rejected = [...table.rejected, ...placed.rejected].sort((a, b) => a.row! - b.row!)
  const warnings = [...table.warnings, ...placed.warnings]
  if (isAssumed) {
    const reason = 'The text is not UTF-8; it is taken to be Windows-1252'
    warnings.push({ code: 'encoding-assumed', file, reason, remedy: 'Save the table as UTF-8 if letters look wrong.' })
  }
  return { format: 'csv', layers: [layer], rejected, warnings, isDamaged: table.isDamaged }
}

function readTable(file: string, text: string, delimiter: string): Table {
  const parsed = papa.parse(text, { delimiter, header: false, dynamicTyping: false, skipEmptyLines: false })
  const header = parsed.data[0] ?? []
  checkHeader(file, header)
  const names = uniqueNames(header)
  const rejected: Problem[] = []
  const warnings: Problem[] = headerWarnings(file, header, names)
  const rows: TableRow[] = []
  const badQuotes = new Set<number>()
  let open: number | undefined
  for (const error of parsed.errors) {
    if (error.type !== 'Quotes' || error.row === undefined) continue
    if (error.code === 'MissingQuotes') open = error.row
    badQuotes.add(error.row)
  }
  for (let i = 1; i < parsed.data.length; i++) {
    const cells = parsed.data[i]!
    if (cells.length === 1 && cells[0]!.trim() === '' && !badQuotes.has(i)) continue
    const fault = badQuotes.has(i)
      ? 'A quoted cell of this row is not closed as it should be'
      : findRaggedFault(cells, names.length)
    if (fault === undefined) rows.push({ row: i + 1, cells: names.map((_, c) => blankToNull(cells[c]!)) })
    else
      rejected.push({
        code: 'csv-row',
        file,
        row: i + 1,
        value: shortValue(cells.join(delimiter)),
        reason: fault,
        remedy: REMEDY,
      })
  }
  if (open !== undefined) {
    const reason = `A quote opened in row ${open + 1} is never closed: all that follows it was read as one cell`
    warnings.push({ code: 'csv-quote-open', file, row: open + 1, reason, remedy: REMEDY })
  }
  return { names, rows, rejected, warnings, isDamaged: open !== undefined }
}

const REMEDY = 'Mend the row in a text editor, or export the table again.'

const blankToNull = (cell: string): string | null => (cell.trim() === '' ? null : cell)

/** Cells beyond the header are fine where they are blank: spreadsheets leave trailing separators. */
function findRaggedFault(cells: readonly string[], width: number): string | undefined {
  const isFilledBeyond = cells.slice(width).some(cell => cell.trim() !== '')
  if (cells.length >= width && !isFilledBeyond) return undefined
  return `The row has ${cells.length} cells, the header ${width}`
}

function checkHeader(file: string, header: readonly string[]): void {
  const filled = header.filter(cell => cell.trim() !== '')
  if (filled.length === 0) {
    throw new InputError({
      code: 'csv-empty',
      file,
      row: 1,
      reason: 'The first row is empty',
      remedy: 'Put the column names there.',
    })
  }
  if (filled.every(cell => parsePlainNumber(cell, false) !== undefined)) {
    const reason = 'The first row holds numbers, not column names'
    throw new InputError({
      code: 'csv-no-header',
      file,
      row: 1,
      value: shortValue(header.join(', ')),
      reason,
      remedy: 'Add a row of column names.',
    })
  }
}

function headerWarnings(file: string, header: readonly string[], names: readonly string[]): Problem[] {
  const changed = names.filter((name, i) => name !== header[i]!.trim())
  if (changed.length === 0) return []
  const reason = `Blank or repeated column names are told apart as ${changed.slice(0, 8).join(', ')}`
  return [{ code: 'csv-column-names', file, row: 1, reason }]
}

interface PlacedRows {
  readonly rows: readonly TableRow[]
  readonly layer: Pick<Layer, 'kind' | 'geometry' | 'crs' | 'crsSource' | 'rows'>
  readonly rejected: Problem[]
  readonly warnings: Problem[]
}

interface PlaceRules {
  readonly crs: string | undefined
  readonly hasDecimalComma: boolean
}

function placeRows(file: string, table: Table, rules: PlaceRules): PlacedRows {
  const found = findCoordinateColumns(table.names, rules.crs !== undefined)
  if (!found) return withoutPlaces(table, [])
  const positions = table.rows.map(({ cells }) =>
    parseCellPosition(cells[found.x]!, cells[found.y]!, rules.hasDecimalComma),
  )
  const degrees = positions.map(asDegrees)
  const isDegrees = found.isNamedDegrees ? !isMostlyFar(positions) : isMostlyPlaced(degrees)
  if (isDegrees || rules.crs === 'EPSG:4326') {
    return withPlaces(file, table, { found, positions: degrees, crs: 'EPSG:4326', crsSource: 'columns' })
  }
  if (rules.crs !== undefined) {
    return withPlaces(file, table, { found, positions, crs: rules.crs, crsSource: 'brief' })
  }
  const [x, y] = [table.names[found.x]!, table.names[found.y]!]
  const reason = `Columns ${x} and ${y} hold no degrees of longitude and latitude; the table is read without places`
  return withoutPlaces(table, [
    { code: 'csv-not-degrees', file, field: x, reason, remedy: 'Name the coordinate system ("crs").' },
  ])
}

/** Over half of the numbers are far from any degree: metres or feet under the names of degrees. */
function isMostlyFar(positions: readonly CellPosition[]): boolean {
  const numbers = positions.filter(position => position !== 'blank' && 'x' in position)
  return numbers.filter(({ x, y }) => Math.abs(x) > 360 || Math.abs(y) > 360).length * 2 > numbers.length
}

/** At least half of the filled rows are positions. */
function isMostlyPlaced(positions: readonly CellPosition[]): boolean {
  const filled = positions.filter(position => position !== 'blank')
  return filled.filter(position => 'x' in position).length * 2 >= Math.max(1, filled.length)
}

function withoutPlaces(table: Table, warnings: Problem[]): PlacedRows {
  const builder = new GeometryBuilder()
  for (const _ of table.rows) builder.endFeature('none')
  const rows = Uint32Array.from(table.rows, row => row.row)
  return {
    rows: table.rows,
    layer: { kind: 'none', geometry: builder.build(), crs: null, crsSource: 'none', rows },
    rejected: [],
    warnings,
  }
}

interface Places {
  readonly found: CoordinateColumns
  readonly positions: readonly CellPosition[]
  readonly crs: string
  readonly crsSource: 'columns' | 'brief'
}

function withPlaces(file: string, table: Table, places: Places): PlacedRows {
  const builder = new GeometryBuilder()
  const rows: TableRow[] = []
  const rejected: Problem[] = []
  places.positions.forEach((position, i) => {
    const entry = table.rows[i]!
    if (position !== 'blank' && 'fault' in position) {
      const column = places.found[position.at]
      rejected.push({
        code: 'csv-coordinates',
        file,
        row: entry.row,
        field: table.names[column]!,
        value: shortValue(entry.cells[column] ?? ''),
        reason: position.fault,
        remedy: 'Give decimal degrees, longitude (-180 to 180) and latitude (-90 to 90) each in its own column.',
      })
      return
    }
    if (position === 'blank') builder.endFeature('none')
    else builder.addPoint(position.x, position.y)
    rows.push(entry)
  })
  const geometry = builder.build()
  const layer = {
    kind: layerKind(geometry),
    geometry,
    crs: places.crs,
    crsSource: places.crsSource,
    rows: Uint32Array.from(rows, row => row.row),
  }
  return { rows, layer, rejected, warnings: [] }
}
