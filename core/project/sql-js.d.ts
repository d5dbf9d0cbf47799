/** The part of sql.js 1.16.0 that is used here. */
declare module 'sql.js' {
  export type SqlValue = number | string | Uint8Array | null
  export interface Statement {
    bind(values: readonly SqlValue[]): boolean
    step(): boolean
    get(): SqlValue[]
    run(values?: readonly SqlValue[]): void
    free(): boolean
  }
  export interface Database {
    run(sql: string): Database
    prepare(sql: string): Statement
    /** The bytes of the file; throws inside an open transaction. */
    export(): Uint8Array<ArrayBuffer>
    close(): void
  }
  export interface SqlJs {
    Database: new (bytes?: Uint8Array) => Database
  }
  export default function initSqlJs(config: { wasmBinary: Uint8Array }): Promise<SqlJs>
}
