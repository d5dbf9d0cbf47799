import { InputError, type Problem } from '../../model/problem.ts'

/** Where the records of a .shp file lie: `offsets[i]` is the first byte of record i's content, `lengths[i]` its bytes. */
export interface ShpIndex {
  readonly offsets: Float64Array
  readonly lengths: Float64Array
  readonly shapeType: number
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

/**
 * Finds every record of a .shp and checks that each lies inside the file and that the .shx (where given) agrees.
 * Errors: InputError with the counts when they do not agree, or when the file is cut off.
 * Source: ESRI Shapefile Technical Description, July 1998, pages 4-5 (headers), 23-24 (index).
 */
export function indexShpRecords(place: ShpPlace, shp: Uint8Array, shx: Uint8Array | undefined): ShpIndex {
  const shapeType = checkHeader(place, shp, '.shp')
  if (!isKnownType(shapeType)) {
    throw refused(
      place,
      'shp-type',
      `Shape type ${shapeType} is not supported`,
      'Save it as points, lines or polygons.',
    )
  }
  const walked = walkRecords(place, shp)
  const base = { shapeType, lengths: Float64Array.from(walked.lengths), offsets: Float64Array.from(walked.offsets) }
  if (shx === undefined) {
    const reason = 'The index (.shx) is missing; the records were found one after the other'
    return { ...base, warnings: [{ code: 'shx-missing', ...place, reason }] }
  }
  checkHeader(place, shx, '.shx')
  const indexed = Math.floor((viewOf(shx).getInt32(24) * 2 - HEADER_BYTES) / 8)
  if (indexed !== walked.offsets.length) {
    throw refused(
      place,
      'shp-counts',
      `The .shp holds ${walked.offsets.length} records, its index (.shx) ${indexed}`,
      'Export the layer again.',
    )
  }
  const view = viewOf(shx)
  for (let i = 0; i < indexed; i++) {
    const offset = view.getInt32(HEADER_BYTES + 8 * i) * 2 + 8
    if (offset !== walked.offsets[i]) {
      throw refused(place, 'shp-index', `The index (.shx) puts record ${i + 1} elsewhere`, 'Export the layer again.')
    }
  }
  return { ...base, warnings: [] }
}

function checkHeader(place: ShpPlace, bytes: Uint8Array, ending: string): number {
  if (bytes.byteLength < HEADER_BYTES || viewOf(bytes).getInt32(0) !== MAGIC) {
    throw refused(place, 'shp-magic', `The ${ending} is no Shapefile: its first bytes are not 9994`, 'Export it again.')
  }
  const declared = viewOf(bytes).getInt32(24) * 2
  if (declared > bytes.byteLength || declared < HEADER_BYTES) {
    const reason = `The ${ending} says that it has ${declared} bytes and has ${bytes.byteLength}: it is cut off`
    throw refused(place, 'shp-cut-off', reason, 'Copy or export the layer again.')
  }
  return viewOf(bytes).getInt32(32, true)
}

function walkRecords(place: ShpPlace, shp: Uint8Array): { offsets: number[]; lengths: number[] } {
  const view = viewOf(shp)
  const end = view.getInt32(24) * 2
  const offsets: number[] = []
  const lengths: number[] = []
  let at = HEADER_BYTES
  while (at < end) {
    const length = at + 8 <= end ? view.getInt32(at + 4) * 2 : -1
    if (length < 4 || at + 8 + length > end) {
      const reason = `Record ${offsets.length + 1} of the .shp runs past the end of the file`
      throw refused(place, 'shp-record', reason, 'Copy or export the layer again.')
    }
    offsets.push(at + 8)
    lengths.push(length)
    at += 8 + length
  }
  return { offsets, lengths }
}

const isKnownType = (type: number): boolean => type === 0 || Object.values(SHAPE_TYPES).some(types => types.has(type))

const viewOf = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)

function refused(place: ShpPlace, code: string, reason: string, remedy: string): InputError {
  return new InputError({ code, ...place, reason, remedy })
}
