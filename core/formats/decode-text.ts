import { CODE_PAGE_437, CODE_PAGE_850 } from './code-pages.ts'

export interface DecodedText {
  readonly text: string
  readonly encoding: string
  /** True where nothing in the file told and Windows-1252 stands in. */
  readonly isAssumed: boolean
}

/**
 * Text of a file: by its byte order mark, else UTF-16 where every other byte is zero, else UTF-8 where it is valid,
 * else Windows-1252.
 */
export function decodeText(bytes: Uint8Array): DecodedText {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return decodeAs(bytes.subarray(2), 'utf-16le')
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return decodeAs(bytes.subarray(2), 'utf-16be')
  if (bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf) return decodeAs(bytes.subarray(3), 'utf-8')
  const wide = findWideEncoding(bytes)
  if (wide) return decodeAs(bytes, wide)
  if (isValidUtf8(bytes)) return decodeAs(bytes, 'utf-8')
  return { ...decodeAs(bytes, 'windows-1252'), isAssumed: true }
}

const decodeAs = (bytes: Uint8Array, label: string): DecodedText => ({
  text: new TextDecoder(label, { ignoreBOM: true }).decode(bytes),
  encoding: label.toUpperCase().replace('WINDOWS', 'Windows'),
  isAssumed: false,
})

/** UTF-16 without a mark: mostly Latin text, so that one byte of each pair is zero. */
function findWideEncoding(bytes: Uint8Array): 'utf-16le' | 'utf-16be' | undefined {
  const pairs = Math.min(512, bytes.length >> 1)
  if (pairs < 2 || bytes.length % 2 !== 0) return undefined
  const zeros = [0, 0]
  for (let i = 0; i < pairs * 2; i++) if (bytes[i] === 0) zeros[i % 2]!++
  if (zeros[1]! > pairs * 0.7 && zeros[0] === 0) return 'utf-16le'
  if (zeros[0]! > pairs * 0.7 && zeros[1] === 0) return 'utf-16be'
  return undefined
}

export function isValidUtf8(bytes: Uint8Array): boolean {
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes)
    return true
  } catch {
    return false
  }
}

/** Turns the bytes of one table cell into text. */
export type CellDecoder = (bytes: Uint8Array) => string

/** A decoder by a TextDecoder label, or by one of the two DOS code pages that TextDecoder lacks; undefined where unknown. */
export function findCellDecoder(label: string): CellDecoder | undefined {
  if (label === 'cp437') return bytes => decodeCodePage(bytes, CODE_PAGE_437)
  if (label === 'cp850') return bytes => decodeCodePage(bytes, CODE_PAGE_850)
  try {
    const decoder = new TextDecoder(label, { ignoreBOM: true })
    return bytes => decoder.decode(bytes)
  } catch {
    return undefined
  }
}

function decodeCodePage(bytes: Uint8Array, upperHalf: string): string {
  let text = ''
  for (const byte of bytes) text += byte < 0x80 ? String.fromCharCode(byte) : upperHalf[byte - 0x80]
  return text
}
