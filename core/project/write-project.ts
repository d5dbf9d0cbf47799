import { type Column, geometryBounds } from '../geo/index.ts'
import { isPlainDate } from '../model/index.ts'
import type { ProjectContent, ProjectLayer, ProjectRun } from './content.ts'
import { writeGeometryBlob } from './gpkg-geometry.ts'
import {
  APPLICATION_ID,
  EXTENSION_DEFINITION,
  EXTENSION_NAME,
  OWN_TABLES,
  PROJECT_FORMAT,
  REFERENCE_SYSTEMS,
  SCHEMA,
  USER_VERSION,
} from './gpkg-schema.ts'
import { quoteIdentifier, type SqlDatabase, type Sqlite, type SqlValue } from './sqlite.ts'
import { FID, GEOMETRY_COLUMN, planTables, type TablePlan } from './table-plan.ts'

/**
 * The project as the bytes of a valid OGC GeoPackage 1.3. The same content gives the same bytes.
 * Errors: a plain Error for layers that are not in `EPSG:4326`, for a date that is none and for a run that is not listed.
 */
export function writeProject(sqlite: Sqlite, content: ProjectContent): Uint8Array<ArrayBuffer> {
  checkContent(content)
  return sqlite.withDatabase(null, database => {
    database.run(`PRAGMA application_id = ${APPLICATION_ID}; PRAGMA user_version = ${USER_VERSION};`)
    database.run('BEGIN')
    database.run(SCHEMA)
    writeFixedRows(database, content)
    writeRuns(database, content.runs)
    const plans = planTables(content.layers)
    for (const [i, entry] of content.layers.entries()) {
      describeTable(database, entry, plans[i]!, { position: i + 1, lastChange: `${content.dataDate}T00:00:00.000Z` })
      fillTable(database, entry, plans[i]!)
    }
    writeColumnNames(database, content.layers, plans)
    database.insertMany('INSERT INTO vinereach_documents VALUES (?, ?, ?)', bind => {
      for (const [i, { name, json }] of content.documents.entries()) bind([i + 1, name, json])
    })
    database.run('COMMIT')
    return database.export()
  })
}

function checkContent({ dataDate, layers, runs }: ProjectContent): void {
  if (!isPlainDate(dataDate)) throw new Error(`The date of the data, ${dataDate}, is not YYYY-MM-DD`)
  const ids = new Set(runs.map(run => run.id))
  for (const { layer, runId } of layers) {
    if (layer.kind !== 'none' && layer.crs !== 'EPSG:4326') {
      throw new Error(`Layer ${layer.name} is in ${layer.crs}; a project holds WGS 84 degrees (EPSG:4326)`)
    }
    if (runId !== null && !ids.has(runId)) throw new Error(`Layer ${layer.name} names a run ${runId} that is not there`)
  }
}

function writeFixedRows(database: SqlDatabase, content: ProjectContent): void {
  database.insertMany('INSERT INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, ?, ?)', bind => {
    for (const system of REFERENCE_SYSTEMS) bind(system)
  })
  database.insertMany('INSERT INTO gpkg_extensions VALUES (?, NULL, ?, ?, ?)', bind => {
    for (const table of OWN_TABLES) bind([table, EXTENSION_NAME, EXTENSION_DEFINITION, 'write-only'])
  })
  database.insertMany('INSERT INTO vinereach_format VALUES (?, ?)', bind => bind([PROJECT_FORMAT, content.dataDate]))
}

function writeRuns(database: SqlDatabase, runs: readonly ProjectRun[]): void {
  database.insertMany('INSERT INTO vinereach_runs VALUES (?, ?, ?, ?, ?)', bind => {
    for (const [i, run] of runs.entries()) bind([i + 1, run.id, run.parameters, run.softwareVersion, run.dataDate])
  })
  const inputs = runs.flatMap(run => run.inputs.map(input => [run.id, input.name, input.digest]))
  database.insertMany('INSERT INTO vinereach_run_inputs VALUES (?, ?, ?, ?)', bind => {
    for (const [i, row] of inputs.entries()) bind([i + 1, ...row])
  })
  const warnings = runs.flatMap(run => run.warnings.map(warning => [run.id, warning]))
  database.insertMany('INSERT INTO vinereach_run_warnings VALUES (?, ?, ?)', bind => {
    for (const [i, row] of warnings.entries()) bind([i + 1, ...row])
  })
}

/** Registers a table and creates it. */
function describeTable(
  database: SqlDatabase,
  entry: ProjectLayer,
  plan: TablePlan,
  { position, lastChange }: { position: number; lastChange: string },
): void {
  const { layer } = entry
  const dataType = plan.geometryType === null ? 'attributes' : 'features'
  const bounds = plan.geometryType === null ? undefined : geometryBounds(layer.geometry)
  const srs = plan.geometryType === null ? null : 4326
  const box = bounds ?? [null, null, null, null]
  database.insertMany('INSERT INTO gpkg_contents VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)', bind =>
    bind([plan.table, dataType, plan.identifier, entry.description, lastChange, ...box, srs]),
  )
  if (plan.geometryType !== null) {
    const type = plan.geometryType.name
    database.insertMany('INSERT INTO gpkg_geometry_columns VALUES (?, ?, ?, ?, 0, 0)', bind =>
      bind([plan.table, GEOMETRY_COLUMN, type, 4326]),
    )
  }
  database.insertMany('INSERT INTO vinereach_layers VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)', bind =>
    bind([
      position,
      plan.table,
      layer.name,
      entry.identifier,
      entry.role,
      layer.kind,
      layer.crs,
      layer.crsSource,
      layer.encoding,
      entry.runId,
      plan.sourceRowColumn,
    ]),
  )
  database.run(`CREATE TABLE ${quoteIdentifier(plan.table)} (${columnDefinitions(plan).join(', ')})`)
}

function columnDefinitions(plan: TablePlan): string[] {
  const definitions = [`${FID} INTEGER NOT NULL PRIMARY KEY`]
  if (plan.geometryType !== null) definitions.push(`${GEOMETRY_COLUMN} ${plan.geometryType.name}`)
  for (const { name, sqlType } of plan.columns) definitions.push(`${quoteIdentifier(name)} ${sqlType}`)
  if (plan.sourceRowColumn !== null) definitions.push(`${quoteIdentifier(plan.sourceRowColumn)} INTEGER`)
  if (plan.runColumn !== null) definitions.push(`${quoteIdentifier(plan.runColumn)} TEXT`)
  return definitions
}

function fillTable(database: SqlDatabase, { layer, runId }: ProjectLayer, plan: TablePlan): void {
  const marks = columnDefinitions(plan).map(() => '?')
  database.insertMany(`INSERT INTO ${quoteIdentifier(plan.table)} VALUES (${marks.join(', ')})`, bind => {
    for (let feature = 0; feature < layer.featureCount; feature++) {
      const row: SqlValue[] = [feature + 1]
      if (plan.geometryType !== null) row.push(writeGeometryBlob(layer.geometry, feature, plan.geometryType))
      for (const { column } of plan.columns) row.push(storedValue(column, feature))
      if (plan.sourceRowColumn !== null) row.push(layer.rows[feature] ?? null)
      if (plan.runColumn !== null) row.push(runId)
      bind(row)
    }
  })
}

function storedValue(column: Column, feature: number): SqlValue {
  const value = column.values[feature]
  if (value === undefined || value === null || Number.isNaN(value)) return null
  return column.type === 'boolean' && value === 2 ? null : value
}

/** Keeps the names and types that columns had in their file. */
function writeColumnNames(database: SqlDatabase, layers: readonly ProjectLayer[], plans: readonly TablePlan[]): void {
  const rows = layers.flatMap((_, i) =>
    plans[i]!.columns.map(({ column, name }) => [plans[i]!.table, name, column.name, column.type]),
  )
  database.insertMany('INSERT INTO vinereach_columns VALUES (?, ?, ?, ?, ?)', bind => {
    for (const [i, row] of rows.entries()) bind([i + 1, ...row])
  })
}
