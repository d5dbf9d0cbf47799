/// <reference path="./sql-js.d.ts" />
import type { Database, SqlValue } from 'sql.js'

export type { SqlValue } from 'sql.js'

/** SQLite in WebAssembly, ready to open databases that live in memory. */
export interface Sqlite {
  /** Runs work on a database (a new one without bytes) and closes it, whatever happens. */
  withDatabase<T>(bytes: Uint8Array | null, work: (database: SqlDatabase) => T): T
}

export interface SqlDatabase {
  run(sql: string): void
  /** All rows of a query. */
  rows(sql: string, values?: readonly SqlValue[]): SqlValue[][]
  /** Runs one statement for every row that `bind` is called with. */
  insertMany(sql: string, fill: (bind: (values: readonly SqlValue[]) => void) => void): void
  /** Calls `take` with every row in turn, for tables too big for a list. */
  eachRow(sql: string, take: (row: SqlValue[]) => void): void
  export(): Uint8Array<ArrayBuffer>
}

/** Shapes: the bytes of sql.js's sql-wasm.wasm, which the host reads. */
export async function openSqlite(wasm: Uint8Array): Promise<Sqlite> {
  const library = await import('sql.js')
  const { Database } = await library.default({ wasmBinary: wasm })
  return {
    withDatabase(bytes, work) {
      const database = bytes === null ? new Database() : new Database(bytes)
      try {
        return work(wrap(database))
      } finally {
        database.close()
      }
    },
  }
}

function wrap(database: Database): SqlDatabase {
  const eachRow = (sql: string, take: (row: SqlValue[]) => void, values: readonly SqlValue[] = []) => {
    const statement = database.prepare(sql)
    try {
      statement.bind(values)
      while (statement.step()) take(statement.get())
    } finally {
      statement.free()
    }
  }
  return {
    run: sql => {
      database.run(sql)
    },
    rows(sql, values = []) {
      const rows: SqlValue[][] = []
      eachRow(sql, row => rows.push(row), values)
      return rows
    },
    insertMany(sql, fill) {
      const statement = database.prepare(sql)
      try {
        fill(values => statement.run(values))
      } finally {
        statement.free()
      }
    },
    eachRow: (sql, take) => eachRow(sql, take),
    export: () => database.export(),
  }
}

/** An identifier for SQL, whatever characters it holds. */
export const quoteIdentifier = (name: string): string => `"${name.replaceAll('"', '""').replaceAll('\0', '')}"`
