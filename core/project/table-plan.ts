import type { Column } from '../geo/index.ts'
import type { ProjectLayer } from './content.ts'
import { type GeometryType, geometryTypeOf } from './gpkg-geometry.ts'

/** How a layer becomes a table. */
export interface TablePlan {
  readonly table: string
  readonly identifier: string
  readonly columns: readonly PlannedColumn[]
  /** Null for an attribute table. */
  readonly geometryType: GeometryType | null
  readonly runColumn: string | null
  /** Holds the row in the source file where that is not simply the number of the feature. */
  readonly sourceRowColumn: string | null
}

export interface PlannedColumn {
  readonly column: Column
  readonly name: string
  readonly sqlType: 'TEXT' | 'DATE' | 'DOUBLE' | 'INTEGER' | 'BOOLEAN'
}

export const FID = 'fid'
export const GEOMETRY_COLUMN = 'geom'

/** Names, types and keys of every table, so that none collides with another whatever its case. */
export function planTables(layers: readonly ProjectLayer[]): TablePlan[] {
  const tables = new Set<string>()
  const identifiers = new Set<string>()
  return layers.map(entry => {
    const { layer, runId } = entry
    const names = new Set([FID, GEOMETRY_COLUMN])
    const runColumn = runId === null ? null : uniqueName('run_id', names)
    const sourceRowColumn = layer.rows.every((row, i) => row === i + 1) ? null : uniqueName('source_row', names)
    return {
      table: uniqueName(tableName(layer.name), tables),
      identifier: uniqueName(entry.identifier, identifiers),
      columns: layer.columns.map(column => ({
        column,
        name: uniqueName(cleanName(column.name, 'column'), names),
        sqlType: sqlType(column),
      })),
      geometryType: layer.kind === 'none' ? null : geometryTypeOf(layer.geometry, layer.kind),
      runColumn,
      sourceRowColumn,
    }
  })
}

/** Names that SQLite and GeoPackage keep for themselves get a mark in front. */
function tableName(name: string): string {
  const clean = cleanName(name, 'layer')
  return /^(gpkg_|sqlite_|rtree_|vinereach_)/i.test(clean) ? `layer_${clean}` : clean
}

const cleanName = (name: string, otherwise: string): string => name.replaceAll('\0', '').trim() || otherwise

/** The name, or the name with the first number that makes it new; SQLite takes no notice of case. */
function uniqueName(wanted: string, taken: Set<string>): string {
  let name = wanted
  for (let i = 2; taken.has(name.toLowerCase()); i++) name = `${wanted}_${i}`
  taken.add(name.toLowerCase())
  return name
}

function sqlType(column: Column): PlannedColumn['sqlType'] {
  switch (column.type) {
    case 'number':
      return 'DOUBLE'
    case 'integer':
      return 'INTEGER'
    case 'boolean':
      return 'BOOLEAN'
    case 'date':
      // A date that is not in ISO form is kept as text: a DATE column must hold nothing else.
      return column.values.every(value => value === null || /^\d{4}-\d\d-\d\d$/.test(value)) ? 'DATE' : 'TEXT'
    default:
      return 'TEXT'
  }
}
