import { unzlibSync } from 'fflate'

/** Bytes of a WOFF header and of one entry of its directory; the same of an sfnt. */
const WOFF = { header: 44, entry: 20 } as const
const SFNT = { header: 12, entry: 16 } as const

/**
 * The font inside a WOFF file with its tables unpacked, so that they are inflated once and not at every opening;
 * any other file as it is.
 * Source: W3C Recommendation WOFF File Format 1.0 (2012), sections 3 to 5; OpenType, table directory.
 */
export function unpackWoff(file: Uint8Array): Uint8Array {
  if (String.fromCharCode(...file.subarray(0, 4)) !== 'wOFF') return file
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength)
  const count = view.getUint16(12)
  const tables = Array.from({ length: count }, (_, i) => {
    const at = WOFF.header + i * WOFF.entry
    const [offset, packed, length] = [view.getUint32(at + 4), view.getUint32(at + 8), view.getUint32(at + 12)]
    const bytes = file.subarray(offset, offset + packed)
    return { tag: view.getUint32(at), sum: view.getUint32(at + 16), bytes: packed < length ? unzlibSync(bytes) : bytes }
  })
  const padded = (length: number) => Math.ceil(length / 4) * 4
  const head = SFNT.header + count * SFNT.entry
  const out = new Uint8Array(tables.reduce((sum, table) => sum + padded(table.bytes.length), head))
  const target = new DataView(out.buffer)
  const power = Math.floor(Math.log2(count))
  target.setUint32(0, view.getUint32(4))
  target.setUint16(4, count)
  target.setUint16(6, 16 * 2 ** power)
  target.setUint16(8, power)
  target.setUint16(10, 16 * (count - 2 ** power))
  let offset = head
  for (const [i, { tag, sum, bytes }] of tables.entries()) {
    const at = SFNT.header + i * SFNT.entry
    target.setUint32(at, tag)
    target.setUint32(at + 4, sum)
    target.setUint32(at + 8, offset)
    target.setUint32(at + 12, bytes.length)
    out.set(bytes, offset)
    offset += padded(bytes.length)
  }
  return out
}
