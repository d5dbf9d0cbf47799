import { InputError, type Problem } from '../../model/problem.ts'
import { isEntrySound, readShxIndex, type ShxIndex } from './shx-index.ts'

/** Where the records of a .shp file lie: `offsets[i]` is the first byte of record i's content, `lengths[i]` its bytes. */
export interface ShpIndex {
  readonly offsets: Float64Array
  readonly lengths: Float64Array
  /** Why a record cannot be read, by record; its offset and length are 0. */
  readonly lost: ReadonlyMap<number, string>
  readonly shapeType: number
  /** False where the file is cut off or a record in it is damaged. */
  readonly isWhole: boolean
  /** False where the .shp holds records that are not of the layer. */
  readonly isAllRead: boolean
  /** Entries that the .shx holds; undefined without one. */
  readonly indexed: number | undefined
  readonly warnings: readonly Problem[]
}

/** Where a .shp or .shx comes from, for messages. */
export interface ShpPlace {
  readonly file: string
  readonly layer: string
}

const MAGIC = 9994
const HEADER_BYTES = 100

/** Shape types by kind: plain, with Z, with M. Source: ESRI Shapefile Technical Description, July 1998, page 4. */
export const SHAPE_TYPES = {
  points: new Set([1, 11, 21]),
  lines: new Set([3, 13, 23]),
  polygons: new Set([5, 15, 25]),
  multipoints: new Set([8, 18, 28]),
} as const

/** The .shp as its own lengths lay it out. */
interface Walk {
  readonly offsets: number[]
  readonly lengths: number[]
  /** The first record that cannot be whole, and why; undefined where the walk ends at the end of the file. */
  readonly fault: string | undefined
  readonly isCutOff: boolean
}

/**
 * Finds every record of a .shp, one after the other, and holds the .shx (where given) against it.
 * A file that is cut off or damaged keeps its whole records; past a damaged one they are found by the entries of the .shx
 * that the .shp confirms. An index that disagrees is not used. `tableCount` is the number of rows beside it.
 * Errors: InputError where the header is no Shapefile's or its shape type is not read.
 * Source: ESRI Shapefile Technical Description, July 1998, pages 4-5 (headers), 23-24 (index).
 */
export function indexShpRecords(
  place: ShpPlace,
  parts: { readonly shp: Uint8Array; readonly shx: Uint8Array | undefined },
  tableCount: number | undefined,
): ShpIndex {
  const shapeType = checkHeader(place, parts.shp)
  const view = viewOf(parts.shp)
  const walk = walkRecords(view)
  const shx = parts.shx && readShxIndex(parts.shx)
  const warnings: Problem[] = []
  if (walk.fault !== undefined) {
    const code = walk.isCutOff ? 'shp-cut-off' : 'shp-record'
    warnings.push({ code, ...place, reason: walk.fault, remedy: 'Copy or export the layer again.' })
  }
  const common = { shapeType, isWhole: walk.fault === undefined, isAllRead: true, indexed: shx?.offsets.length }
  if (shx === undefined) {
    const reason = 'The index (.shx) is missing; the records were found one after the other'
    warnings.push({ code: 'shx-missing', ...place, reason })
    return { ...common, ...recordsOf(walk, tableCount), warnings }
  }
  const isAllSound = shx.fault === undefined && shx.offsets.every((_, i) => isEntrySound(shx, i, view))
  if (walk.fault === undefined && isAllSound && shx.offsets.length === tableCount && hasSpareRecords(walk, shx)) {
    const spare = walk.offsets.length - tableCount
    const reason = `The .shp holds ${spare} records that neither its index (.shx) nor its table (.dbf) name; they are left out`
    return {
      ...common,
      isAllRead: false,
      offsets: shx.offsets,
      lengths: shx.lengths,
      lost: new Map(),
      warnings: [{ code: 'shp-spare-records', ...place, reason }],
    }
  }
  if (walk.fault !== undefined) return { ...common, ...resumeByIndex(walk, shx, view, tableCount), warnings }
  const fault = shx.fault ?? findIndexFault(walk, shx)
  if (fault !== undefined) {
    const reason = `The index (.shx) ${fault}; it is not used, the records were found one after the other`
    warnings.push({ code: 'shx-wrong', ...place, reason })
  }
  return { ...common, ...recordsOf(walk, tableCount), warnings }
}

function checkHeader(place: ShpPlace, shp: Uint8Array): number {
  if (shp.byteLength < HEADER_BYTES || viewOf(shp).getInt32(0) !== MAGIC) {
    throw new InputError({
      code: 'shp-magic',
      ...place,
      reason: 'The .shp is no Shapefile: its first bytes are not 9994',
      remedy: 'Export it again.',
    })
  }
  const shapeType = viewOf(shp).getInt32(32, true)
  if (isKnownType(shapeType)) return shapeType
  throw new InputError({
    code: 'shp-type',
    ...place,
    reason: `Shape type ${shapeType} is not supported`,
    remedy: 'Save it as points, lines or polygons.',
  })
}

function walkRecords(view: DataView): Walk {
  const declared = view.getInt32(24) * 2
  const isCutOff = declared > view.byteLength || declared < HEADER_BYTES
  const end = isCutOff ? view.byteLength : declared
  const offsets: number[] = []
  const lengths: number[] = []
  const cutOff = isCutOff
    ? `The .shp says that it has ${declared} bytes and has ${view.byteLength}: it is cut off`
    : undefined
  let at = HEADER_BYTES
  while (at < end) {
    const length = at + 8 <= end ? view.getInt32(at + 4) * 2 : -1
    if (length < 4 || at + 8 + length > end) {
      const fault = cutOff ?? `Record ${offsets.length + 1} of the .shp runs past the end of the file`
      return { offsets, lengths, fault, isCutOff }
    }
    offsets.push(at + 8)
    lengths.push(length)
    at += 8 + length
  }
  return { offsets, lengths, fault: cutOff, isCutOff }
}

type Records = Pick<ShpIndex, 'offsets' | 'lengths' | 'lost'>

function recordsOf(walk: Walk, tableCount: number | undefined): Records {
  const lost = new Map<number, string>()
  const { offsets, lengths } = walk
  const hasLost = walk.fault !== undefined && tableCount !== offsets.length
  if (hasLost) lost.set(offsets.length, LOST)
  const more = hasLost ? [0] : []
  return { offsets: Float64Array.from([...offsets, ...more]), lengths: Float64Array.from([...lengths, ...more]), lost }
}

const LOST = 'The shape is cut off or damaged in the .shp'

/** The walked records, and after the first damaged one those that the index points to and the .shp confirms. */
function resumeByIndex(walk: Walk, shx: ShxIndex, view: DataView, tableCount: number | undefined): Records {
  const walked = walk.offsets.length
  if (shx.offsets.length <= walked) return recordsOf(walk, tableCount)
  const offsets = Float64Array.from({ length: shx.offsets.length }, (_, i) => walk.offsets[i] ?? 0)
  const lengths = Float64Array.from({ length: shx.offsets.length }, (_, i) => walk.lengths[i] ?? 0)
  const lost = new Map<number, string>()
  for (let i = walked; i < shx.offsets.length; i++) {
    if (!isEntrySound(shx, i, view)) {
      lost.set(i, LOST)
      continue
    }
    offsets[i] = shx.offsets[i]!
    lengths[i] = shx.lengths[i]!
  }
  return { offsets, lengths, lost }
}

/** Programs that change shapes in place leave the old ones behind, where only the index passes over them. */
const hasSpareRecords = (walk: Walk, shx: ShxIndex): boolean => walk.offsets.length > shx.offsets.length

function findIndexFault(walk: Walk, shx: ShxIndex): string | undefined {
  if (shx.offsets.length !== walk.offsets.length) {
    return `names ${shx.offsets.length} records, the .shp holds ${walk.offsets.length}`
  }
  const at = walk.offsets.findIndex((offset, i) => offset !== shx.offsets[i])
  return at < 0 ? undefined : `puts record ${at + 1} elsewhere`
}

const isKnownType = (type: number): boolean => type === 0 || Object.values(SHAPE_TYPES).some(types => types.has(type))

const viewOf = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
