/**
 * CRC-32 as zip archives use it (reflected polynomial 0xEDB88320), four bytes a step.
 * Source: ISO-HDLC CRC-32; PKWARE APPNOTE 6.3.10, section 4.4.7.
 */
export function crc32(bytes: Uint8Array): number {
  const [t0, t1, t2, t3] = TABLES
  let crc = 0xffffffff
  let i = 0
  for (; i + 4 <= bytes.length; i += 4) {
    crc ^= bytes[i]! | (bytes[i + 1]! << 8) | (bytes[i + 2]! << 16) | (bytes[i + 3]! << 24)
    crc = t3![crc & 0xff]! ^ t2![(crc >>> 8) & 0xff]! ^ t1![(crc >>> 16) & 0xff]! ^ t0![crc >>> 24]!
  }
  for (; i < bytes.length; i++) crc = t0![(crc ^ bytes[i]!) & 0xff]! ^ (crc >>> 8)
  return ~crc >>> 0
}

const TABLES: readonly Int32Array[] = buildTables()

function buildTables(): Int32Array[] {
  const tables = Array.from({ length: 4 }, () => new Int32Array(256))
  for (let n = 0; n < 256; n++) {
    let value = n
    for (let bit = 0; bit < 8; bit++) value = value & 1 ? (value >>> 1) ^ 0xedb88320 : value >>> 1
    tables[0]![n] = value
  }
  for (let n = 0; n < 256; n++) {
    for (let slice = 1; slice < 4; slice++) {
      const before = tables[slice - 1]![n]!
      tables[slice]![n] = (before >>> 8) ^ tables[0]![before & 0xff]!
    }
  }
  return tables
}
