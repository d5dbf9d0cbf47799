import { REPORT_FIELDS } from '../formats/index.ts'
import { type Column, columnValue, findColumn, findCrs, type Layer } from '../geo/index.ts'
import { InputError, type LayerSource } from '../model/index.ts'

/** Where a source stands in the brief, and what it is there for. */
export interface SourceEntry {
  readonly role: string
  /** Path inside the brief, e.g. `layers.reports.0`. */
  readonly path: string
  readonly source: LayerSource
}

/** Fields that a role understands; `id` and `name` do no harm anywhere. Roles that are not listed understand none. */
const KNOWN_FIELDS: Readonly<Record<string, readonly string[]>> = {
  reports: REPORT_FIELDS,
  parcels: ['id', 'owner'],
  waterways: ['id', 'name', 'direction', 'width_m'],
  barriers: ['id', 'pass'],
  searched: ['date', 'found', 'evidence'],
  treatments: ['date'],
}
const HARMLESS = ['id', 'name']

/**
 * Holds a source of the brief against the layer that was read: fields that the role does not understand, columns that are
 * not there, degrees under a projected system.
 * Errors: InputError with the path in the brief, what was found and what to do.
 */
export function checkSource(entry: SourceEntry, layer: Layer): void {
  checkFields(entry, layer)
  if (entry.role === 'reports') checkDegrees(entry, layer)
}

function checkFields({ role, path, source }: SourceEntry, layer: Layer): void {
  const known = [...new Set([...(KNOWN_FIELDS[role] ?? []), ...(role === 'reports' ? [] : HARMLESS)])]
  const held = layer.columns.map(column => column.name).join(', ') || 'none'
  for (const [field, column] of Object.entries(source.fields)) {
    const place = { file: source.path, field: `${path}.fields.${field}`, value: column.slice(0, 80) }
    if (!known.includes(field)) {
      throw new InputError({
        code: 'brief-field',
        ...place,
        reason: `The ${role} layer has no field "${field}"`,
        remedy: `Fields of it: ${known.join(', ')}.`,
      })
    }
    if (findColumn(layer, column) !== undefined) continue
    throw new InputError({
      code: 'column-missing',
      ...place,
      reason: `The file has no column "${column}", which is to be the field ${field}`,
      remedy: `Columns in it: ${held}.`,
    })
  }
}

/** No projected system has its data within 180 units of its origin: such columns hold degrees. */
function checkDegrees({ path, source }: SourceEntry, layer: Layer): void {
  const crs = source.crs === undefined ? undefined : findCrs(source.crs)
  if (crs === undefined || crs.unit === 'degree') return
  const [x, y] = [findColumn(layer, source.fields['lon'] ?? 'lon'), findColumn(layer, source.fields['lat'] ?? 'lat')]
  if (!x || !y || layer.featureCount === 0) return
  if (!(largest(x, layer.featureCount) <= 180 && largest(y, layer.featureCount) <= 90)) return
  throw new InputError({
    code: 'brief-crs',
    file: source.path,
    field: `${path}.crs`,
    value: crs.code,
    reason: `This system counts in ${crs.unit === 'metre' ? 'metres' : 'feet'}, but the columns ${x.name} and ${y.name} hold degrees`,
    remedy: 'Write "EPSG:4326", or name the projected columns under "fields" as lon and lat.',
  })
}

/** Largest absolute value of a column's numbers; NaN where it holds none. */
function largest(column: Column, count: number): number {
  let most = Number.NaN
  for (let i = 0; i < count; i++) {
    const value = columnValue(column, i)
    const size = value === null || String(value).trim() === '' ? Number.NaN : Math.abs(Number(value))
    if (!(size <= most) && !Number.isNaN(size)) most = size
  }
  return most
}

/** Runs work on a source; whatever is wrong with its file is told with its place in the brief. */
export async function readingSource<T>({ path, source }: SourceEntry, work: () => Promise<T>): Promise<T> {
  try {
    return await work()
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    const { problem, rejected } = error
    throw new InputError({ file: source.path, ...problem, field: problem.field ?? `${path}.path` }, rejected)
  }
}
