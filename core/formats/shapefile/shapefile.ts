import { type Geometry, type Layer, layerKind } from '../../geo/index.ts'
import { InputError, type Problem } from '../../model/problem.ts'
import { type FileCrs, findDegreeFault, noCrsWarning, readFileCrs } from '../crs-of-file.ts'
import { decodeText } from '../decode-text.ts'
import { chooseLayers, type FileReading, type ReadOptions } from '../file-reading.ts'
import { type DbfTable, openDbfTable } from './dbf-records.ts'
import { settleRecordCounts } from './record-counts.ts'
import { findSecondReadingFault, SECOND_READING_RECORDS } from './second-reading.ts'
import { indexShpRecords, type ShpIndex, type ShpPlace } from './shp-index.ts'
import { createShpDecoder } from './shp-records.ts'
import { readZipDirectory, unpackEntry, type ZipEntry } from './zip-gate.ts'

/** The files of one layer, unpacked. */
export interface ShapefileParts {
  readonly name: string
  readonly shp: Uint8Array
  readonly shx: Uint8Array | undefined
  readonly dbf: Uint8Array | undefined
  readonly prj: string | undefined
  readonly cpg: string | undefined
}

/** Records decoded between two steps of the task. */
const CHUNK = 5000

/**
 * Reads a zipped Shapefile: every .shp of the archive is a layer under its own name.
 * A damaged layer keeps the records whose shape and row are both whole; the others are refused by their row, and warnings
 * say what is damaged and count what was kept.
 * Errors: InputError when the archive or a header is not to be trusted, or the damage left no record.
 */
export async function readZippedShapefile(file: string, bytes: Uint8Array, options: ReadOptions): Promise<FileReading> {
  const entries = readZipDirectory(file, bytes)
  const sets = findLayerSets(file, entries)
  const layers: Layer[] = []
  const rejected: Problem[] = []
  const warnings: Problem[] = []
  let isDamaged = false
  const chosen = chooseLayers(file, sets, options.layer)
  for (const [i, set] of chosen.entries()) {
    const task = options.task?.part(i / chosen.length, (i + 1) / chosen.length)
    const unpack = (ending: string) => {
      const entry = set.entries.get(ending)
      return entry && unpackEntry(file, bytes, entry)
    }
    const textOf = (ending: string) => {
      const packed = unpack(ending)
      return packed && decodeText(packed).text
    }
    const parts = {
      name: set.name,
      shp: unpack('shp')!,
      shx: unpack('shx'),
      dbf: unpack('dbf'),
      prj: textOf('prj'),
      cpg: textOf('cpg'),
    }
    const reading = await readLayer(file, parts, { ...options, ...(task && { task }) })
    layers.push(reading.layer)
    rejected.push(...reading.rejected)
    warnings.push(...reading.warnings)
    isDamaged ||= reading.isDamaged
  }
  return { format: 'shapefile', layers, rejected, warnings, isDamaged }
}

interface LayerSet {
  readonly name: string
  readonly entries: ReadonlyMap<string, ZipEntry>
}

/** The .shp files of the archive, each with the files of the same path beside it. */
function findLayerSets(file: string, entries: readonly ZipEntry[]): LayerSet[] {
  const sets = new Map<string, { path: string; entries: Map<string, ZipEntry> }>()
  for (const entry of entries) {
    const match = /^(.*)\.(shp|shx|dbf|prj|cpg)$/i.exec(entry.path)
    if (!match) continue
    const key = match[1]!.toLowerCase()
    const set = sets.get(key) ?? { path: match[1]!, entries: new Map<string, ZipEntry>() }
    set.entries.set(match[2]!.toLowerCase(), entry)
    sets.set(key, set)
  }
  const shapes = [...sets.values()].filter(set => set.entries.has('shp'))
  if (shapes.length === 0) {
    const held = entries.map(entry => entry.path).slice(0, 5)
    throw new InputError({
      code: 'zip-no-shapefile',
      file,
      reason: `The archive holds no .shp (it holds ${held.join(', ') || 'nothing'})`,
      remedy: 'Zip the .shp, .shx, .dbf and .prj of one layer together.',
    })
  }
  const bases = shapes.map(set => set.path.split('/').at(-1)!)
  return shapes.map((set, i) => {
    const isShared = bases.filter(base => base.toLowerCase() === bases[i]!.toLowerCase()).length > 1
    return { name: isShared ? set.path : bases[i]!, entries: set.entries }
  })
}

interface LayerReading {
  readonly isDamaged: boolean
  readonly layer: Layer
  readonly rejected: readonly Problem[]
  readonly warnings: readonly Problem[]
}

async function readLayer(file: string, parts: ShapefileParts, options: ReadOptions): Promise<LayerReading> {
  const place: ShpPlace = { file, layer: parts.name }
  const table = parts.dbf && openDbfTable(place, parts.dbf, parts.cpg)
  const index = indexShpRecords(place, parts, table?.recordCount)
  const settled = settleRecordCounts(place, index, table)
  const { count } = settled
  const decoder = createShpDecoder(place, parts.shp, index)
  const rejected: Problem[] = []
  const kept: number[] = []
  let deleted = 0
  for (let record = 0; record < count; record++) {
    if (record % CHUNK === 0) await options.task?.step(record / count, `Reading ${parts.name}`)
    if (table?.isDeleted(record)) {
      deleted++
      continue
    }
    const fault = findMissingPart(record, index, table) ?? decoder.add(record)
    if (fault) rejected.push({ code: 'shape-damaged', ...place, row: record + 1, field: 'geometry', ...fault })
    else kept.push(record)
  }
  const damage = damageWarnings(place, [...index.warnings, ...settled.warnings], { kept: kept.length, rejected })
  const geometry = decoder.build()
  const crs = readFileCrs(parts.prj, options.crs)
  if (crs.isGeographic) checkDegrees(place, geometry)
  const layer = layerFrom(parts.name, geometry, Uint32Array.from(kept), table, crs)
  const warnings = [...damage, ...decoder.warnings(), ...setWarnings(place, parts, table, crs, deleted)]
  const isDamaged = damage.some(isDamage)
  const isAsWritten =
    rejected.length + deleted === 0 && decoder.warnings().every(warning => warning.code === 'z-m-dropped')
  if (count <= SECOND_READING_RECORDS && isAsWritten && !isDamaged && index.isAllRead) {
    const fault = findSecondReadingFault(parts, layer)
    if (fault) warnings.push({ code: 'second-reading-differs', ...place, reason: fault })
  }
  return { layer, rejected, warnings, isDamaged }
}

/** Why a record lacks its shape or its row, as the part of a refusal; undefined where both are there. */
function findMissingPart(
  record: number,
  index: ShpIndex,
  table: DbfTable | undefined,
): Pick<Problem, 'reason' | 'field'> | undefined {
  const lost = index.lost.get(record)
  if (lost !== undefined) return { reason: lost }
  if (record >= index.offsets.length) return { reason: 'The .shp holds no shape for this row' }
  if (table && record >= table.recordCount)
    return { reason: 'The table (.dbf) holds no row for this shape', field: 'attributes' }
  return undefined
}

const DAMAGE = new Set(['shp-cut-off', 'shp-record', 'shp-counts', 'shx-wrong', 'dbf-cut-off'])
const isDamage = (warning: Problem): boolean => DAMAGE.has(warning.code)

/**
 * The warnings of the files, and the counts where the layer was read in part.
 * Errors: InputError where the damage left nothing.
 */
function damageWarnings(
  place: ShpPlace,
  warnings: readonly Problem[],
  { kept, rejected }: { readonly kept: number; readonly rejected: readonly Problem[] },
): Problem[] {
  const first = warnings.find(isDamage)
  if (first === undefined) return [...warnings]
  if (kept === 0 && rejected.length > 0) throw new InputError(first)
  if (rejected.length === 0) return [...warnings]
  const reason = `The layer is damaged and was read in part: of ${kept + rejected.length} records ${kept} are kept and ${rejected.length} refused`
  const remedy = 'Copy or export the layer again.'
  return [{ code: 'read-in-part', ...place, reason, remedy }, ...warnings]
}

function layerFrom(
  name: string,
  geometry: Geometry,
  kept: Uint32Array,
  table: DbfTable | undefined,
  crs: FileCrs,
): Layer {
  return {
    name,
    kind: layerKind(geometry),
    featureCount: kept.length,
    geometry,
    crs: crs.crs,
    crsSource: crs.crsSource,
    columns: table?.buildColumns(kept) ?? [],
    rows: kept.map(record => record + 1),
    encoding: table?.encoding ?? null,
  }
}

function setWarnings(
  place: ShpPlace,
  parts: ShapefileParts,
  table: DbfTable | undefined,
  crs: FileCrs,
  deleted: number,
): Problem[] {
  const warnings: Problem[] = [...(table?.warnings ?? [])]
  if (!table)
    warnings.push({ code: 'dbf-missing', ...place, reason: 'The table (.dbf) is missing: shapes without attributes' })
  if (deleted > 0) {
    warnings.push({
      code: 'dbf-deleted',
      ...place,
      reason: `${deleted} rows marked as deleted in the .dbf are left out`,
    })
  }
  if (crs.crs === null) warnings.push(noCrsWarning(place.file, place.layer))
  else if (parts.prj !== undefined && crs.crsSource !== 'file') {
    warnings.push({ code: 'crs-unreadable', ...place, reason: `The .prj cannot be read; ${crs.crs} stands in` })
  }
  return warnings
}

/** A file that says degrees and holds metres or feet would put everything in the wrong place. */
function checkDegrees(place: ShpPlace, geometry: Geometry): void {
  for (let i = 0; i < geometry.coords.length; i += 2) {
    const fault = findDegreeFault(geometry.coords[i]!, geometry.coords[i + 1]!)
    if (fault === undefined) continue
    throw new InputError({
      code: 'crs-wrong',
      ...place,
      reason: `The .prj says degrees, but ${fault}`,
      remedy: 'Give the layer the .prj of the system that its coordinates are in.',
    })
  }
}
