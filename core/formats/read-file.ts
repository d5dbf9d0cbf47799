import { InputError } from '../model/problem.ts'
import { readCsv } from './csv/csv.ts'
import { hasDelimiter } from './csv/csv-delimiter.ts'
import { decodeText } from './decode-text.ts'
import type { FileFormat, FileReading, ReadOptions } from './file-reading.ts'
import { readGeoJson } from './geojson/geojson.ts'
import { readZippedShapefile } from './shapefile/shapefile.ts'

const SUPPORTED = 'Supported: a zipped Shapefile, GeoJSON, and tables as CSV or TSV.'

/** An archive with entries, an empty one, one in several volumes. */
const ZIP_STARTS = ['PK\u0003\u0004', 'PK\u0005\u0006', 'PK\u0007\u0008']

/** First bytes of files that are often brought, to be named when they are refused. */
const KNOWN_OTHERS: readonly (readonly [start: string, name: string, remedy: string])[] = [
  ['%PDF', 'a PDF', SUPPORTED],
  ['SQLite format 3\u0000', 'an SQLite database (GeoPackage?)', SUPPORTED],
  ['\u0000\u0000\u0027\u000a', 'a bare .shp or .shx', 'Zip the .shp, .shx, .dbf and .prj of the layer together.'],
  ['\u0089PNG', 'a PNG picture', SUPPORTED],
  ['\u00ff\u00d8\u00ff', 'a JPEG picture', SUPPORTED],
  ['II*\u0000', 'a TIFF picture', SUPPORTED],
  ['MM\u0000*', 'a TIFF picture', SUPPORTED],
  ['\u001f\u008b', 'a gzip archive', 'Unpack it first.'],
  ['PAR1', 'a Parquet file', SUPPORTED],
  ['fgb', 'a FlatGeobuf file', SUPPORTED],
  ['\u00d0\u00cf\u0011\u00e0', 'an old spreadsheet or document', 'Save the sheet as CSV.'],
]

/**
 * Reads a file into layers; its bytes decide what it is, not its name.
 * Errors: InputError for a file that is empty, of another kind, or not to be trusted at all; Cancelled.
 */
export async function readFile(name: string, bytes: Uint8Array, options: ReadOptions = {}): Promise<FileReading> {
  const format = decideFormat(name, bytes)
  if (format === 'shapefile') return readZippedShapefile(name, bytes, options)
  return format === 'geojson' ? readGeoJson(name, bytes, options) : readCsv(name, bytes, options)
}

function decideFormat(name: string, bytes: Uint8Array): FileFormat {
  const refused = (reason: string, remedy = SUPPORTED) =>
    new InputError({ code: 'file-format', file: name, reason, remedy })
  if (bytes.length === 0) throw refused('The file is empty')
  const start = String.fromCharCode(...bytes.subarray(0, 64))
  if (ZIP_STARTS.some(magic => start.startsWith(magic))) return 'shapefile'
  const other = KNOWN_OTHERS.find(([magic]) => start.startsWith(magic))
  if (other) throw refused(`This is ${other[1]}`, other[2])
  const { text } = decodeText(bytes.subarray(0, Math.min(bytes.length, 65_536)))
  const first = text.trimStart()
  if (first === '') throw refused('The file holds nothing but blanks')
  if (first[0] === '{' || first[0] === '[') return 'geojson'
  if (first[0] === '<') throw refused('This is an XML or HTML file')
  if (hasControlCharacter(text)) throw refused('This is a binary file of an unknown kind')
  // Text without a separator could be anything: only then does the name decide.
  if (!hasDelimiter(text) && !/\.(csv|tsv|txt|tab)$/i.test(name)) throw refused('This is a text without columns')
  return 'csv'
}

/** Characters that no text holds: controls other than tab, line ends, form feed and escape. */
function hasControlCharacter(text: string): boolean {
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i)
    if (code < 9 || (code > 13 && code < 32 && code !== 26 && code !== 27)) return true
  }
  return false
}
