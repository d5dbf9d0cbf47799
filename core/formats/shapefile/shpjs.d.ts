/** The part of shpjs that is used; its own types are not shipped. */
declare module 'shpjs' {
  export interface ShpjsGeometry {
    readonly type: string
    readonly coordinates: unknown
  }
  /** One geometry a record (null for a null shape); without a projection the coordinates are as in the file. */
  export function parseShp(shp: DataView, prj?: string): (ShpjsGeometry | null)[]
  /** One plain row a record, deleted ones too. */
  export function parseDbf(dbf: DataView, cpg?: string): Record<string, unknown>[]
}
