import { findCellDecoder } from '../decode-text.ts'

/** Which text encoding a table is in, and the warning where nothing in the files tells. */
export interface DbfEncoding {
  /** A TextDecoder label, `cp437` or `cp850`. */
  readonly label: string
  readonly name: string
  readonly warning: string | null
}

/**
 * The encoding by the .cpg file, else by the language driver byte of the .dbf, else UTF-8 where it is valid, else Windows-1252.
 * Source: language driver ids as in the dBASE and Visual FoxPro tables (0x03 and 0x57: Windows ANSI).
 */
export function decideDbfEncoding(cpg: string | undefined, driver: number, isUtf8: () => boolean): DbfEncoding {
  const named = cpg === undefined ? undefined : labelOfCpg(cpg)
  if (named !== undefined && findCellDecoder(named)) return { label: named, name: nameOf(named), warning: null }
  const byDriver = DRIVERS.get(driver)
  const unknown = cpg?.trim() ? `The .cpg names an unknown encoding ("${cpg.trim().slice(0, 40)}"); ` : ''
  if (byDriver !== undefined) {
    const warning = unknown === '' ? null : `${unknown}${nameOf(byDriver)} is taken from the .dbf`
    return { label: byDriver, name: nameOf(byDriver), warning }
  }
  const label = isUtf8() ? 'utf-8' : 'windows-1252'
  const warning =
    label === 'utf-8' && unknown === '' ? null : `${unknown}the text encoding is taken to be ${nameOf(label)}`
  return { label, name: nameOf(label), warning: warning && warning[0]!.toUpperCase() + warning.slice(1) }
}

const nameOf = (label: string): string => label.toUpperCase().replace('WINDOWS', 'Windows')

function labelOfCpg(cpg: string): string | undefined {
  const text = cpg.trim().toLowerCase()
  if (/^(utf-?8|65001)$/.test(text)) return 'utf-8'
  const iso = /^(?:iso[-_ ]?)?8859[-_ ]?(\d{1,2})$/.exec(text)
  // The web's label for Latin-1 is Windows-1252, which has the same letters.
  if (iso) return iso[1] === '1' ? 'windows-1252' : `iso-8859-${iso[1]}`
  const page = /^(?:ansi|cp|ms|windows|win|oem|ibm)?[-_ ]?(\d{3,4})$/.exec(text)?.[1]
  return page === undefined ? undefined : PAGES.get(Number(page))
}

const PAGES: ReadonlyMap<number, string> = new Map([
  ...[1250, 1251, 1252, 1253, 1254, 1255, 1256, 1257, 1258, 874].map(page => [page, `windows-${page}`] as const),
  [437, 'cp437'],
  [850, 'cp850'],
  [866, 'ibm866'],
  [932, 'shift_jis'],
  [936, 'gbk'],
  [949, 'euc-kr'],
  [950, 'big5'],
])

const DRIVERS: ReadonlyMap<number, string> = new Map([
  [0x01, 'cp437'],
  [0x02, 'cp850'],
  [0x03, 'windows-1252'],
  [0x13, 'shift_jis'],
  [0x26, 'ibm866'],
  [0x4d, 'gbk'],
  [0x4e, 'euc-kr'],
  [0x4f, 'big5'],
  [0x57, 'windows-1252'],
  [0x58, 'windows-1252'],
  [0x59, 'windows-1252'],
  [0x65, 'ibm866'],
  [0x78, 'big5'],
  [0x79, 'euc-kr'],
  [0x7a, 'gbk'],
  [0x7b, 'shift_jis'],
  [0x7c, 'windows-874'],
  [0x7d, 'windows-1255'],
  [0x7e, 'windows-1256'],
  [0xc8, 'windows-1250'],
  [0xc9, 'windows-1251'],
  [0xca, 'windows-1254'],
  [0xcb, 'windows-1253'],
  [0xcc, 'windows-1257'],
])
