import { inflateSync } from 'fflate'
import { InputError, type Problem } from '../../model/problem.ts'
import { crc32 } from './crc32.ts'

/** One entry of an archive's directory; nothing is unpacked yet. */
export interface ZipEntry {
  /** Cleaned path: forward slashes, no drive, no `.` or `..`. */
  readonly path: string
  readonly method: number
  readonly packedSize: number
  readonly size: number
  readonly crc: number
  readonly headerOffset: number
}

/** Limits of an archive that is opened: so many entries, so many bytes each and together, so much compression. */
export const ZIP_LIMITS = { entries: 200, entryBytes: 500e6, totalBytes: 2e9, ratio: 200, ratioFromBytes: 1e6 } as const

const END_OF_DIRECTORY = 0x06054b50
const DIRECTORY_ENTRY = 0x02014b50
const LOCAL_HEADER = 0x04034b50

/**
 * The directory of a zip archive after the gate: counts, declared sizes and ratio within limits, no encryption, links left
 * out, no two entries of one name (in any case).
 * Errors: InputError that says which limit and by how much.
 * Source: PKWARE APPNOTE 6.3.10, sections 4.3.7, 4.3.12, 4.3.16.
 */
export function readZipDirectory(file: string, bytes: Uint8Array): ZipEntry[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const end = findEndOfDirectory(view)
  if (end === undefined) throw refused(file, 'zip-damaged', 'The archive has no directory: it is cut off or damaged')
  const count = view.getUint16(end + 10, true)
  const start = view.getUint32(end + 16, true)
  if (count === 0xffff || start === 0xffffffff) {
    throw refused(file, 'zip-too-large', 'The archive is a Zip64 one, larger than this program opens')
  }
  if (count > ZIP_LIMITS.entries) {
    throw refused(file, 'zip-too-many', `The archive has ${count} entries; at most ${ZIP_LIMITS.entries} are opened`)
  }
  const entries: ZipEntry[] = []
  let at = start
  for (let i = 0; i < count; i++) {
    if (at + 46 > view.byteLength || view.getUint32(at, true) !== DIRECTORY_ENTRY) {
      throw refused(file, 'zip-damaged', `Entry ${i + 1} of ${count} in the archive's directory is damaged`)
    }
    const entry = readEntry(file, bytes, view, at)
    if (entry) entries.push(entry)
    at += 46 + view.getUint16(at + 28, true) + view.getUint16(at + 30, true) + view.getUint16(at + 32, true)
  }
  checkEntries(file, entries)
  return entries
}

function findEndOfDirectory(view: DataView): number | undefined {
  // The record is 22 bytes and a comment of at most 65,535.
  for (let at = view.byteLength - 22; at >= Math.max(0, view.byteLength - 65_557); at--) {
    if (view.getUint32(at, true) === END_OF_DIRECTORY) return at
  }
  return undefined
}

/** An entry, or undefined for folders, links and the resource forks that one system adds. */
function readEntry(file: string, bytes: Uint8Array, view: DataView, at: number): ZipEntry | undefined {
  const flags = view.getUint16(at + 8, true)
  const nameEnd = at + 46 + view.getUint16(at + 28, true)
  const nameBytes = bytes.subarray(at + 46, Math.min(nameEnd, bytes.length))
  const path = cleanPath(new TextDecoder('utf-8').decode(nameBytes))
  const isLink = ((view.getUint32(at + 38, true) >>> 16) & 0o170000) === 0o120000
  if (isLink || path === '' || path.endsWith('/') || /(^|\/)(__MACOSX\/|\._)/.test(path)) return undefined
  if (flags & 1) throw refused(file, 'zip-encrypted', `"${path}" in the archive is encrypted`)
  return {
    path,
    method: view.getUint16(at + 10, true),
    crc: view.getUint32(at + 16, true),
    packedSize: view.getUint32(at + 20, true),
    size: view.getUint32(at + 24, true),
    headerOffset: view.getUint32(at + 42, true),
  }
}

function cleanPath(path: string): string {
  const isFolder = /[\\/]$/.test(path)
  const steps = path
    .split(/[\\/]/)
    // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is taken out
    .map(step => step.replace(/[\u0000-\u001f]/g, '').replace(/^[A-Za-z]:/, ''))
    .filter(step => step !== '' && step !== '.' && step !== '..')
  return steps.join('/') + (isFolder && steps.length > 0 ? '/' : '')
}

function checkEntries(file: string, entries: readonly ZipEntry[]): void {
  const seen = new Set<string>()
  let total = 0
  for (const entry of entries) {
    const key = entry.path.toLowerCase()
    if (seen.has(key)) {
      throw refused(file, 'zip-ambiguous', `The archive holds two entries named "${entry.path}"`)
    }
    seen.add(key)
    total += entry.size
    const isTooLarge = entry.size > ZIP_LIMITS.entryBytes || total > ZIP_LIMITS.totalBytes
    const isTooDense = entry.size > ZIP_LIMITS.ratioFromBytes && entry.size > ZIP_LIMITS.ratio * entry.packedSize
    if (isTooLarge || isTooDense) {
      throw refused(
        file,
        isTooLarge ? 'zip-too-large' : 'zip-ratio',
        `"${entry.path}" would unpack from ${entry.packedSize} to ${entry.size} bytes, beyond what is opened`,
      )
    }
  }
}

/** The bytes of one entry. Errors: InputError when its length or checksum is not what the directory says. */
export function unpackEntry(file: string, bytes: Uint8Array, entry: ZipEntry): Uint8Array {
  const damaged = (why: string) => refused(file, 'zip-damaged', `"${entry.path}" in the archive is damaged: ${why}`)
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const at = entry.headerOffset
  if (at + 30 > bytes.length || view.getUint32(at, true) !== LOCAL_HEADER) throw damaged('its header is not there')
  const from = at + 30 + view.getUint16(at + 26, true) + view.getUint16(at + 28, true)
  if (from + entry.packedSize > bytes.length) throw damaged('it runs past the end of the file')
  const packed = bytes.subarray(from, from + entry.packedSize)
  const unpacked = entry.method === 0 ? packed : inflate(entry, packed, damaged)
  if (unpacked.length !== entry.size) throw damaged(`${unpacked.length} bytes where ${entry.size} are declared`)
  if (crc32(unpacked) !== entry.crc) throw damaged('its checksum does not match')
  return unpacked
}

function inflate(entry: ZipEntry, packed: Uint8Array, damaged: (why: string) => InputError): Uint8Array {
  if (entry.method !== 8) throw damaged(`compression method ${entry.method} is not supported`)
  try {
    // One byte more than declared: a longer stream shows as a wrong length and can never take more memory.
    return inflateSync(packed, { out: new Uint8Array(entry.size + 1) })
  } catch (error) {
    throw damaged(error instanceof Error ? error.message : 'it cannot be unpacked')
  }
}

function refused(file: string, code: string, reason: string): InputError {
  const problem: Problem = { code, file, reason, remedy: 'Zip the .shp, .shx, .dbf and .prj of one layer again.' }
  return new InputError(problem)
}
