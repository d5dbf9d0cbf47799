import type { Problem } from '../model/index.ts'
import { APPLICATION_ID, GPKG_TABLES, OWN_TABLES, USER_VERSION } from './gpkg-schema.ts'
import { quoteIdentifier, type SqlDatabase, type Sqlite } from './sqlite.ts'

const MAGIC = 'SQLite format 3\0'

/** Everything that is wrong with the bytes of a project file; empty when nothing is. */
export function checkProject(sqlite: Sqlite, bytes: Uint8Array): Problem[] {
  const header = findHeaderProblem(bytes)
  if (header !== undefined) return [header]
  try {
    return sqlite.withDatabase(bytes, database => {
      const problems = checkOpenDatabase(database)
      return problems.length > 0 ? problems : checkTables(database)
    })
  } catch (error) {
    return [damaged(error instanceof Error ? error.message : String(error))]
  }
}

/**
 * What the first 100 bytes tell: that it is SQLite, whole, and a GeoPackage of the version that we write.
 * Source: The SQLite file format, section 1.3 (offsets 16, 28, 60 and 68); OGC 12-128r17, requirements 1 and 2.
 */
export function findHeaderProblem(bytes: Uint8Array): Problem | undefined {
  const isSqlite = bytes.length >= 100 && [...MAGIC].every((letter, i) => bytes[i] === letter.charCodeAt(0))
  if (!isSqlite) {
    return {
      code: 'project-no-sqlite',
      reason: 'The file is not an SQLite database, so it is no project',
      remedy: 'Choose a .gpkg file that this program wrote.',
    }
  }
  const view = new DataView(bytes.buffer, bytes.byteOffset, 100)
  const pageSize = view.getUint16(16) === 1 ? 65536 : view.getUint16(16)
  const expected = pageSize * view.getUint32(28)
  if (expected > bytes.length) {
    return damaged(`it has ${bytes.length} bytes and should have ${expected}`)
  }
  if (view.getUint32(68) !== APPLICATION_ID || view.getUint32(60) < USER_VERSION || view.getUint32(60) >= 10400) {
    return {
      code: 'project-no-geopackage',
      value: `application_id ${view.getUint32(68)}, user_version ${view.getUint32(60)}`,
      reason: 'The database is not a GeoPackage 1.3, so it is no project',
      remedy: 'Choose a .gpkg file that this program wrote.',
    }
  }
  return undefined
}

const damaged = (how: string): Problem => ({
  code: 'project-damaged',
  value: how.slice(0, 80),
  reason: 'The project file is damaged',
  remedy: 'Use the copy from before the last save, or a backup.',
})

/** SQLite's own checks and the presence of the tables; run before anything else is read. */
export function checkOpenDatabase(database: SqlDatabase): Problem[] {
  const problems: Problem[] = []
  try {
    database.run('PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;')
    for (const [message] of database.rows('PRAGMA integrity_check')) {
      if (message !== 'ok') problems.push(damaged(String(message)))
    }
  } catch (error) {
    return [damaged(error instanceof Error ? error.message : String(error))]
  }
  const tables = tableNames(database)
  for (const table of [...GPKG_TABLES, ...OWN_TABLES]) {
    if (tables.has(table)) continue
    const isOurs = table.startsWith('vinereach_')
    problems.push({
      code: isOurs ? 'project-not-ours' : 'project-table-missing',
      layer: table,
      reason: isOurs
        ? 'The GeoPackage was not written as a project: a table is missing'
        : 'A table that a GeoPackage needs is missing',
      remedy: isOurs ? 'Give the file as a layer in a brief instead.' : 'Use a backup.',
    })
  }
  return problems
}

/** Real tables only: a view may be an endless recursion. */
const tableNames = (database: SqlDatabase): Set<string> =>
  new Set(database.rows("SELECT name FROM sqlite_master WHERE type = 'table'").map(([name]) => String(name)))

function checkTables(database: SqlDatabase): Problem[] {
  return [
    ...checkForeignKeys(database),
    ...checkContents(database),
    ...checkExtensions(database),
    ...checkLayers(database),
  ]
}

function checkForeignKeys(database: SqlDatabase): Problem[] {
  return database.rows('PRAGMA foreign_key_check').map(([table, row, parent]) => ({
    code: 'project-foreign-key',
    layer: String(table),
    row: Number(row),
    reason: `The row points to a row of ${parent} that is not there`,
    remedy: 'Use a backup.',
  }))
}

/** Every table of gpkg_contents is there with its geometry column, its key and whole geometries. */
function checkContents(database: SqlDatabase): Problem[] {
  const problems: Problem[] = []
  const tables = tableNames(database)
  const rows = database.rows(
    `SELECT c.table_name, c.data_type, g.column_name, c.srs_id, g.srs_id FROM gpkg_contents c
     LEFT JOIN gpkg_geometry_columns g ON g.table_name = c.table_name ORDER BY c.table_name`,
  )
  for (const [name, dataType, geometryColumn, srs, geometrySrs] of rows) {
    const table = String(name)
    const problem = (reason: string) =>
      problems.push({ code: 'project-contents', layer: table, reason, remedy: 'Use a backup.' })
    if (!tables.has(table)) {
      problem('The table is listed in gpkg_contents but not there')
      continue
    }
    const columns = database.rows(`PRAGMA table_info(${quoteIdentifier(table)})`)
    if (!columns.some(column => String(column[2]) === 'INTEGER' && column[5] === 1))
      problem('The table has no integer key')
    if (dataType !== 'features') continue
    if (geometryColumn === null || !columns.some(column => column[1] === geometryColumn)) {
      problem('The geometry column that gpkg_geometry_columns names is not there')
      continue
    }
    if (srs !== geometrySrs) problem('gpkg_contents and gpkg_geometry_columns name different reference systems')
    const column = quoteIdentifier(String(geometryColumn))
    const [bad] = database.rows(
      `SELECT count(*) FROM ${quoteIdentifier(table)} WHERE ${column} IS NOT NULL AND
       (typeof(${column}) <> 'blob' OR hex(substr(${column}, 1, 3)) <> '475000' OR length(${column}) < 13)`,
    )
    if (bad?.[0] !== 0) problem(`${bad?.[0]} geometries are not GeoPackage binary`)
  }
  return problems
}

function checkExtensions(database: SqlDatabase): Problem[] {
  const tables = tableNames(database)
  return database
    .rows('SELECT table_name FROM gpkg_extensions WHERE table_name IS NOT NULL ORDER BY table_name')
    .filter(([table]) => !tables.has(String(table)))
    .map(([table]) => ({
      code: 'project-extension',
      layer: String(table),
      reason: 'An extension table is registered but not there',
      remedy: 'Use a backup.',
    }))
}

/** Every layer of ours is listed in gpkg_contents, and every column that it had is in its table. */
function checkLayers(database: SqlDatabase): Problem[] {
  const contents = new Set(database.rows('SELECT table_name FROM gpkg_contents').map(([name]) => String(name)))
  const problems: Problem[] = []
  for (const [name] of database.rows('SELECT table_name FROM vinereach_layers ORDER BY position')) {
    const table = String(name)
    if (!contents.has(table)) continue
    const columns = new Set(
      database.rows(`PRAGMA table_info(${quoteIdentifier(table)})`).map(column => String(column[1])),
    )
    const wanted = database.rows('SELECT column_name FROM vinereach_columns WHERE table_name = ?', [table])
    for (const [column] of wanted) {
      if (columns.has(String(column))) continue
      problems.push({
        code: 'project-column',
        layer: table,
        field: String(column),
        reason: 'A column of the layer is missing',
        remedy: 'Use a backup.',
      })
    }
  }
  return problems
}
