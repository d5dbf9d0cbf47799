import type { Column } from '../../geo/index.ts'
import { dayNumber } from '../../model/date.ts'
import { InputError, type Problem } from '../../model/problem.ts'
import { uniqueNames } from '../build-columns.ts'
import { findCellDecoder, isValidUtf8 } from '../decode-text.ts'
import { decideDbfEncoding } from './dbf-encoding.ts'
import type { ShpPlace } from './shp-index.ts'

export interface DbfTable {
  /** Whole records that the file holds, at most those that its header says. */
  readonly recordCount: number
  /** Records that its header says. */
  readonly claimed: number
  /** What the header says and what the file has, in words. */
  readonly sizes: string
  /** True for records marked as deleted. */
  readonly isDeleted: (record: number) => boolean
  /** The columns over the given records. */
  readonly buildColumns: (records: Uint32Array) => Column[]
  readonly encoding: string
  readonly warnings: readonly Problem[]
}

interface DbfField {
  readonly name: string
  readonly type: string
  readonly offset: number
  readonly length: number
  readonly decimals: number
}

/**
 * Opens a dBASE table: its records are those that lie wholly inside the file, whatever its header says.
 * Errors: InputError for a header that cannot be followed.
 * Absent: blank text, blank numbers, null dates (blank or zeros) and unknown logicals.
 * Source: dBASE level 5 table layout: header 32 bytes, descriptors of 32 bytes to 0x0D, records led by a deletion mark.
 */
export function openDbfTable(place: ShpPlace, bytes: Uint8Array, cpg: string | undefined): DbfTable {
  const refused = (reason: string) =>
    new InputError({ code: 'dbf-damaged', ...place, reason, remedy: 'Copy or export the layer again.' })
  if (bytes.byteLength < 33) throw refused(`The table (.dbf) has ${bytes.byteLength} bytes, less than its header`)
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const claimed = view.getUint32(4, true)
  const headerLength = view.getUint16(8, true)
  const recordLength = view.getUint16(10, true)
  const sizes = `The table (.dbf) says ${claimed} records of ${recordLength} bytes after ${headerLength}, and has ${bytes.byteLength} bytes`
  if (headerLength < 33 || headerLength > bytes.byteLength || recordLength < 1) throw refused(sizes)
  const recordCount = Math.min(claimed, Math.floor((bytes.byteLength - headerLength) / recordLength))
  const fields = readFields(bytes, headerLength)
  const width = fields.reduce((sum, field) => sum + field.length, 1)
  if (width > recordLength)
    throw refused(`The fields of the table (.dbf) need ${width} bytes, its records have ${recordLength}`)
  const body = bytes.subarray(headerLength, headerLength + recordCount * recordLength)
  const encoding = decideDbfEncoding(cpg, bytes[29]!, () => isValidUtf8(body))
  const table = { body, recordLength, decode: findCellDecoder(encoding.label)! }
  const warnings: Problem[] =
    encoding.warning === null ? [] : [{ code: 'encoding-assumed', ...place, reason: encoding.warning }]
  const unread = fields.filter(field => !READABLE.has(field.type))
  for (const field of unread) {
    const reason = `Field type ${field.type} (memo or binary) is not read; the field is left empty`
    warnings.push({ code: 'dbf-field-type', ...place, field: field.name, reason })
  }
  return {
    recordCount,
    claimed,
    sizes,
    isDeleted: record => body[record * recordLength] === 0x2a,
    buildColumns: records => fields.map(field => buildFieldColumn(table, field, records)),
    encoding: encoding.name,
    warnings,
  }
}

const READABLE = new Set(['C', 'N', 'F', 'D', 'L', 'I', 'O', 'B'])

function readFields(bytes: Uint8Array, headerLength: number): DbfField[] {
  const raw: Omit<DbfField, 'name'>[] = []
  const names: string[] = []
  let offset = 1
  for (let at = 32; at + 32 <= headerLength && bytes[at] !== 0x0d; at += 32) {
    const nameEnd = bytes.subarray(at, at + 11).indexOf(0)
    const nameBytes = bytes.subarray(at, nameEnd < 0 ? at + 11 : at + nameEnd)
    const label = isValidUtf8(nameBytes) ? 'utf-8' : 'windows-1252'
    names.push(new TextDecoder(label).decode(nameBytes))
    const type = String.fromCharCode(bytes[at + 11]!).toUpperCase()
    const length = bytes[at + 16]!
    raw.push({ type, offset, length, decimals: bytes[at + 17]! })
    offset += length
  }
  const unique = uniqueNames(names)
  return raw.map((field, index) => ({ ...field, name: unique[index]! }))
}

interface DbfBody {
  readonly body: Uint8Array
  readonly recordLength: number
  readonly decode: (bytes: Uint8Array) => string
}

function buildFieldColumn(table: DbfBody, field: DbfField, records: Uint32Array): Column {
  const { name, type } = field
  if (type === 'N' || type === 'F') return numberColumn(table, field, records)
  if (type === 'I' || type === 'O' || type === 'B') {
    const values = Float64Array.from(records, record => readBinary(table, field, record))
    return { name, type: type === 'I' ? 'integer' : 'number', values }
  }
  if (type === 'L')
    return { name, type: 'boolean', values: Uint8Array.from(records, record => readLogical(table, field, record)) }
  if (type === 'D') return { name, type: 'date', values: Array.from(records, record => readDate(table, field, record)) }
  const read = type === 'C' ? (record: number) => readText(table, field, record) : () => null
  return { name, type: 'text', values: Array.from(records, read) }
}

/** Numbers as text in the table; whole ones beyond 2^53 stay text, so that no digit is lost. */
function numberColumn(table: DbfBody, field: DbfField, records: Uint32Array): Column {
  const { name } = field
  const values = new Float64Array(records.length)
  let isWhole = true
  let isSafe = true
  records.forEach((record, i) => {
    const text = readAscii(table, field, record)
    const value = text === '' ? Number.NaN : Number(text)
    values[i] = Number.isFinite(value) ? value : Number.NaN
    if (Number.isNaN(values[i]!)) return
    isWhole &&= Number.isInteger(value)
    isSafe &&= !Number.isInteger(value) || Number.isSafeInteger(value)
  })
  const isInteger = field.type === 'N' && field.decimals === 0
  if (isInteger && !isSafe) {
    return { name, type: 'text', values: Array.from(records, record => readAscii(table, field, record) || null) }
  }
  return { name, type: isInteger && isWhole ? 'integer' : 'number', values }
}

function readAscii({ body, recordLength }: DbfBody, field: DbfField, record: number): string {
  const from = record * recordLength + field.offset
  let text = ''
  for (let i = from; i < from + field.length; i++) {
    const byte = body[i]!
    if (byte > 0x20 && byte < 0x7f) text += String.fromCharCode(byte)
  }
  return text
}

function readText({ body, recordLength, decode }: DbfBody, field: DbfField, record: number): string | null {
  const from = record * recordLength + field.offset
  let to = from + field.length
  while (to > from && (body[to - 1] === 0x20 || body[to - 1] === 0)) to--
  if (to === from) return null
  let text = ''
  for (let i = from; i < to; i++) {
    const byte = body[i]!
    if (byte >= 0x80) return decode(body.subarray(from, to))
    text += String.fromCharCode(byte)
  }
  return text
}

function readDate(table: DbfBody, field: DbfField, record: number): string | null {
  const text = readAscii(table, field, record)
  const date = `${text.slice(0, 4)}-${text.slice(4, 6)}-${text.slice(6, 8)}`
  return text.length === 8 && !Number.isNaN(dayNumber(date)) ? date : null
}

function readLogical(table: DbfBody, field: DbfField, record: number): number {
  const text = readAscii(table, field, record).toUpperCase()
  return text === 'T' || text === 'Y' ? 1 : text === 'F' || text === 'N' ? 0 : 2
}

function readBinary({ body, recordLength }: DbfBody, field: DbfField, record: number): number {
  const from = record * recordLength + field.offset
  const view = new DataView(body.buffer, body.byteOffset + from, field.length)
  if (field.type === 'I' && field.length === 4) return view.getInt32(0, true)
  return field.length === 8 ? view.getFloat64(0, true) : Number.NaN
}
