/** What a .shx says: where each record's content begins and how long it is, bytes. */
export interface ShxIndex {
  readonly offsets: Float64Array
  readonly lengths: Float64Array
  /** Why it cannot be an index at all, or that it is cut off; undefined where it is in order by itself. */
  readonly fault: string | undefined
}

const MAGIC = 9994
const HEADER_BYTES = 100
const ENTRY_BYTES = 8

/**
 * Reads an index as far as it goes; what it says is only believed where the .shp agrees.
 * Source: ESRI Shapefile Technical Description, July 1998, pages 23-24.
 */
export function readShxIndex(shx: Uint8Array): ShxIndex {
  const view = new DataView(shx.buffer, shx.byteOffset, shx.byteLength)
  if (shx.byteLength < HEADER_BYTES || view.getInt32(0) !== MAGIC) {
    return { ...NO_ENTRIES, fault: 'is none: its first bytes are not 9994' }
  }
  const held = Math.floor((shx.byteLength - HEADER_BYTES) / ENTRY_BYTES)
  const claimed = Math.max(0, Math.floor((view.getInt32(24) * 2 - HEADER_BYTES) / ENTRY_BYTES))
  const count = Math.min(held, claimed)
  const offsets = new Float64Array(count)
  const lengths = new Float64Array(count)
  for (let i = 0; i < count; i++) {
    offsets[i] = view.getInt32(HEADER_BYTES + ENTRY_BYTES * i) * 2 + 8
    lengths[i] = view.getInt32(HEADER_BYTES + ENTRY_BYTES * i + 4) * 2
  }
  const fault = claimed > held ? `is cut off: it says ${claimed} records and holds ${held}` : undefined
  return { offsets, lengths, fault }
}

const NO_ENTRIES = { offsets: new Float64Array(0), lengths: new Float64Array(0) }

/** Whether entry i points at a record of the .shp that bears its number and its length and lies inside the file. */
export function isEntrySound(index: ShxIndex, i: number, shp: DataView): boolean {
  const [offset, length] = [index.offsets[i]!, index.lengths[i]!]
  if (!(offset >= HEADER_BYTES + 8) || !(length >= 4) || offset + length > shp.byteLength) return false
  return shp.getInt32(offset - 8) === i + 1 && shp.getInt32(offset - 4) * 2 === length
}
