import { type Column, GeometryBuilder, type Layer, layerKind } from '../geo/index.ts'
import { InputError } from '../model/index.ts'
import { checkOpenDatabase, findHeaderProblem } from './check-project.ts'
import type { ProjectContent, ProjectDocument, ProjectLayer, ProjectRun } from './content.ts'
import { readGeometryBlob } from './gpkg-geometry.ts'
import { PROJECT_FORMAT } from './gpkg-schema.ts'
import { quoteIdentifier, type SqlDatabase, type Sqlite, type SqlValue } from './sqlite.ts'
import { GEOMETRY_COLUMN } from './table-plan.ts'

/**
 * What a project file holds: layers, documents and runs as they were written.
 * Errors: InputError with what to do when the file is damaged, is no project of ours, or comes from a newer version.
 */
export function readProject(sqlite: Sqlite, bytes: Uint8Array): ProjectContent {
  const problem = findHeaderProblem(bytes)
  if (problem !== undefined) throw new InputError(problem)
  return sqlite.withDatabase(bytes, database => {
    const [first] = checkOpenDatabase(database)
    if (first !== undefined) throw new InputError(first)
    const [format, dataDate] = formatOf(database)
    if (format > PROJECT_FORMAT) {
      throw new InputError({
        code: 'project-newer',
        value: String(format),
        reason: `The project was written by a newer version (format ${format}, this one knows ${PROJECT_FORMAT})`,
        remedy: 'Open it with the newer version; its layers can still be opened as a plain GeoPackage.',
      })
    }
    return {
      dataDate,
      layers: readLayers(database),
      documents: readDocuments(database),
      runs: readRuns(database),
    }
  })
}

function formatOf(database: SqlDatabase): [format: number, dataDate: string] {
  const [row] = database.rows('SELECT version, data_date FROM vinereach_format')
  return [Number(row?.[0] ?? Number.NaN), String(row?.[1] ?? '')]
}

const readDocuments = (database: SqlDatabase): ProjectDocument[] =>
  database
    .rows('SELECT name, json FROM vinereach_documents ORDER BY position')
    .map(([name, json]) => ({ name: String(name), json: String(json) }))

function readRuns(database: SqlDatabase): ProjectRun[] {
  const inputs = database.rows('SELECT run_id, name, sha256 FROM vinereach_run_inputs ORDER BY position')
  const warnings = database.rows('SELECT run_id, warning FROM vinereach_run_warnings ORDER BY position')
  return database
    .rows('SELECT id, parameters, software_version, data_date FROM vinereach_runs ORDER BY position')
    .map(([id, parameters, softwareVersion, dataDate]) => ({
      id: String(id),
      parameters: String(parameters),
      inputs: inputs.filter(row => row[0] === id).map(row => ({ name: String(row[1]), digest: String(row[2]) })),
      softwareVersion: String(softwareVersion),
      warnings: warnings.filter(row => row[0] === id).map(row => String(row[1])),
      dataDate: String(dataDate),
    }))
}

function readLayers(database: SqlDatabase): ProjectLayer[] {
  return database
    .rows(
      `SELECT l.table_name, l.name, l.identifier, l.role, l.kind, l.crs, l.crs_source, l.encoding, l.run_id,
         l.source_row_column, c.description
       FROM vinereach_layers l JOIN gpkg_contents c ON c.table_name = l.table_name ORDER BY l.position`,
    )
    .map(row => readLayer(database, row))
}

function readLayer(database: SqlDatabase, row: readonly SqlValue[]): ProjectLayer {
  const [table, name, identifier, role, kind, crs, crsSource, encoding, runId, sourceRowColumn, description] = row
  const stored = readTable(database, String(table), {
    hasGeometry: kind !== 'none',
    sourceRowColumn: textOrNull(sourceRowColumn),
  })
  const layer: Layer = {
    name: String(name),
    kind:
      kind === 'none'
        ? 'none'
        : layerKind(stored.geometry) === 'none'
          ? (kind as Layer['kind'])
          : layerKind(stored.geometry),
    featureCount: stored.rows.length,
    geometry: stored.geometry,
    crs: textOrNull(crs),
    crsSource: crsSource as Layer['crsSource'],
    columns: stored.columns,
    rows: stored.rows,
    encoding: textOrNull(encoding),
  }
  return {
    layer,
    role: role === 'result' ? 'result' : 'input',
    identifier: String(identifier),
    description: String(description ?? ''),
    runId: textOrNull(runId),
  }
}

const textOrNull = (value: SqlValue | undefined): string | null =>
  value === null || value === undefined ? null : String(value)

interface StoredTable {
  readonly geometry: Layer['geometry']
  readonly columns: Column[]
  readonly rows: Uint32Array
}

function readTable(
  database: SqlDatabase,
  table: string,
  { hasGeometry, sourceRowColumn }: { hasGeometry: boolean; sourceRowColumn: string | null },
): StoredTable {
  const described = database.rows(
    'SELECT column_name, name, type FROM vinereach_columns WHERE table_name = ? ORDER BY position',
    [table],
  )
  const selected = [
    hasGeometry ? GEOMETRY_COLUMN : 'NULL',
    sourceRowColumn === null ? 'fid' : quoteIdentifier(sourceRowColumn),
    ...described.map(([column]) => quoteIdentifier(String(column))),
  ]
  const builder = new GeometryBuilder()
  const rows: number[] = []
  const values: SqlValue[][] = described.map(() => [])
  database.eachRow(`SELECT ${selected.join(', ')} FROM ${quoteIdentifier(table)} ORDER BY fid`, row => {
    readGeometryBlob(row[0] as Uint8Array | null, builder)
    rows.push(Number(row[1]))
    for (let i = 0; i < values.length; i++) values[i]!.push(row[i + 2] ?? null)
  })
  return {
    geometry: builder.build(),
    rows: Uint32Array.from(rows),
    columns: described.map(([, name, type], i) => columnOf(String(name), String(type), values[i]!)),
  }
}

function columnOf(name: string, type: string, values: readonly SqlValue[]): Column {
  if (type === 'number' || type === 'integer') {
    return { name, type, values: Float64Array.from(values, value => (value === null ? Number.NaN : Number(value))) }
  }
  if (type === 'boolean')
    return { name, type, values: Uint8Array.from(values, value => (value === null ? 2 : Number(value))) }
  return { name, type: type === 'date' ? 'date' : 'text', values: values.map(value => textOrNull(value)) }
}
