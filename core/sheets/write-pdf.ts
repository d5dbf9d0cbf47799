/// <reference path="./pdfkit.d.ts" />
import PDFDocument, { type PdfPattern, type PdfReference } from 'pdfkit'
import type {
  DisplayList,
  Georeference,
  GroupOperator,
  HatchFill,
  Operator,
  PathOperator,
  SheetPage,
  TextOperator,
} from './display-list.ts'
import { embedFaces, type OpenedFaces, type SheetFonts } from './fonts.ts'
import { hatchTile } from './hatch.ts'
import { createTagger, type Tagger } from './pdf-tags.ts'

/**
 * The pages as PDF 1.7: vector throughout, fonts embedded as subsets, layers as optional content, text and figures tagged, map frames georeferenced.
 * The same list and fonts give the same bytes (within one host's deflate).
 * Source: ISO 32000-2:2020, 8.11 (optional content), 12.10 (geospatial).
 */
export function writePdf(list: DisplayList, fonts: SheetFonts): Uint8Array {
  const date = new Date(`${list.date}T00:00:00Z`)
  const document = new CollectedDocument({
    autoFirstPage: false,
    font: null,
    pdfVersion: '1.7',
    lang: list.language,
    displayTitle: true,
    tagged: true,
    info: {
      Title: list.title,
      Subject: list.description,
      Producer: 'Vinereach',
      Creator: 'Vinereach',
      CreationDate: date,
      ModDate: date,
    },
  })
  const pen: Pen = {
    document,
    fonts,
    faces: embedFaces(document, fonts.faces),
    layers: new Map(),
    patterns: new Map(),
  }
  const tagger = createTagger(document, item => writeOperator(pen, item))
  for (const page of list.pages) addPage(pen, page, tagger)
  tagger.end()
  addLayerList(pen)
  document.end()
  return joinBytes(document.chunks ?? [])
}

/** The document is a stream on some hosts; its own queue is by-passed so that writing stays one plain call. */
class CollectedDocument extends PDFDocument {
  // Declared only: the constructor of the document already pushes, before a field of ours would be made.
  declare chunks?: Uint8Array[]
  override push(chunk: Uint8Array | null): boolean {
    this.chunks ??= []
    if (chunk !== null) this.chunks.push(chunk)
    return true
  }
}

interface Pen {
  readonly document: PDFDocument
  readonly fonts: SheetFonts
  readonly faces: OpenedFaces
  readonly layers: Map<string, { readonly id: string; readonly reference: PdfReference }>
  readonly patterns: Map<string, PdfPattern>
}

function addPage(pen: Pen, page: SheetPage, tagger: Tagger): void {
  pen.document.addPage({ size: [page.width, page.height], margin: 0 })
  if (page.georeference !== null) {
    pen.document.page.dictionary.data.VP = [viewportOf(page.georeference, page.height)]
  }
  tagger.write(page.items)
}

function writeOperator(pen: Pen, item: Operator): void {
  if (item.op === 'path') writePath(pen, item)
  else if (item.op === 'text') writeText(pen, item)
  else writeGroup(pen, item)
}

function writeGroup(pen: Pen, group: GroupOperator): void {
  const { document } = pen
  if (group.layer !== undefined) document.addContent(`/OC /${layerId(pen, group.layer)} BDC`)
  document.addContent('q')
  if (group.clip !== undefined) {
    const [left, top, right, bottom] = group.clip
    document.addContent(`${num(left)} ${num(top)} ${num(right - left)} ${num(bottom - top)} re W n`)
  }
  for (const item of group.items) writeOperator(pen, item)
  document.addContent('Q')
  if (group.layer !== undefined) document.addContent('EMC')
}

function writePath(pen: Pen, path: PathOperator): void {
  const parts: string[] = ['q']
  if (path.fill !== undefined) parts.push(fillOperator(pen, path.fill))
  const { stroke } = path
  if (stroke !== undefined) {
    parts.push(`${rgb(stroke.colour)} RG ${num(stroke.width)} w ${stroke.cap === 'round' ? '1 J' : '0 J'} 1 j`)
    if (stroke.dash !== undefined) parts.push(`[${stroke.dash.map(num).join(' ')}] 0 d`)
  }
  for (const line of path.lines) parts.push(lineOperators(line, path.isClosed))
  parts.push(path.fill === undefined ? 'S' : stroke === undefined ? 'f*' : 'B*', 'Q')
  pen.document.addContent(parts.join('\n'))
}

function lineOperators(line: Float64Array, isClosed: boolean): string {
  const out: string[] = []
  for (let i = 0; i < line.length; i += 2) out.push(`${num(line[i]!)} ${num(line[i + 1]!)} ${i === 0 ? 'm' : 'l'}`)
  if (isClosed) out.push('h')
  return out.join(' ')
}

function fillOperator(pen: Pen, fill: string | HatchFill): string {
  if (typeof fill === 'string') return `${rgb(fill)} rg`
  const pattern = patternFor(pen, fill)
  pattern.embedPatternColorSpaces()
  pattern.embed()
  return `/CsPDeviceRGB cs ${rgb(fill.colour)} /${pattern.id} scn`
}

function patternFor(pen: Pen, fill: HatchFill): PdfPattern {
  const key = `${fill.hatch}/${fill.gap}/${fill.weight}`
  const known = pen.patterns.get(key)
  if (known !== undefined) return known
  const tile = hatchTile(fill)
  const strokes = tile.lines.map(([x0, y0, x1, y1]) => `${num(x0)} ${num(y0)} m ${num(x1)} ${num(y1)} l S`)
  // A dot is a stroke without length and with round ends.
  const dots = tile.dots.map(([x, y]) => `${num(x)} ${num(y)} m ${num(x)} ${num(y)} l S`)
  const stream = [`${num(fill.weight)} w ${dots.length > 0 ? '1' : '0'} J`, ...strokes, ...dots].join('\n')
  const pattern = pen.document.pattern([0, 0, tile.size, tile.size], tile.size, tile.size, stream)
  pen.patterns.set(key, pattern)
  return pattern
}

function writeText(pen: Pen, text: TextOperator): void {
  const { document, fonts } = pen
  const width = fonts.width(text.text, text.face, text.size)
  const shift = text.align === 'start' ? 0 : text.align === 'middle' ? -width / 2 : -width
  const turn = ((text.angle ?? 0) * Math.PI) / 180
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)]
  const [x, y] = [text.x + shift * cos, text.y + shift * sin]
  // The page is flipped (y down); the text matrix flips back.
  const matrix = `${num(cos, 5)} ${num(sin, 5)} ${num(sin, 5)} ${num(-cos, 5)} ${num(x)} ${num(y)} Tm`
  const letters = fonts.runs(text.text, text.face).map(run => runOperators(pen, run, text))
  const show = (mode: string) => `BT ${mode} ${matrix} ${letters.join(' ')} ET`
  document.addContent('q')
  if (text.halo !== undefined) {
    // The rim repeats the letters; as an artifact it is skipped by readers of the text.
    document.addContent(`/Artifact BMC ${rgb(text.halo)} RG 1 j ${num(text.size * 0.28)} w ${show('1 Tr')} EMC`)
  }
  document.addContent(`${rgb(text.colour)} rg ${show('0 Tr')} Q`)
}

function runOperators(pen: Pen, run: { text: string; file: number }, text: TextOperator): string {
  const font = pen.faces[text.face][run.file]!
  pen.document.page.fonts[font.id] ??= font.ref()
  const [hex, positions] = font.encode(run.text)
  const pieces: string[] = []
  let open = ''
  for (const [i, code] of hex.entries()) {
    open += code
    const extra = positions[i]!.xAdvance - positions[i]!.advanceWidth
    if (Math.abs(extra) < 0.01) continue
    pieces.push(`<${open}> ${num(-extra)}`)
    open = ''
  }
  if (open !== '') pieces.push(`<${open}>`)
  return `/${font.id} ${num(text.size)} Tf [${pieces.join(' ')}] TJ`
}

function layerId(pen: Pen, name: string): string {
  let layer = pen.layers.get(name)
  if (layer === undefined) {
    const reference = pen.document.ref({ Type: 'OCG', Name: pdfText(name) })
    layer = { id: `L${pen.layers.size + 1}`, reference }
    pen.layers.set(name, layer)
  }
  const resources = pen.document.page.resources.data
  resources.Properties ??= {}
  ;(resources.Properties as Record<string, PdfReference>)[layer.id] = layer.reference
  return layer.id
}

function addLayerList(pen: Pen): void {
  if (pen.layers.size === 0) return
  const references = [...pen.layers.values()].map(layer => layer.reference)
  for (const reference of references) reference.end()
  pen.document._root.data.OCProperties = {
    OCGs: references,
    D: { Order: references, ON: references, Name: pdfText('Sheet') },
  }
}

/** Viewport and measure dictionaries. GPTS stay geographic, latitude first, whatever the system; LPTS are shares of the box, y up. */
function viewportOf(place: Georeference, pageHeight: number): Record<string, unknown> {
  const [left, top, right, bottom] = place.box
  const shares = [0, 1, 0, 0, 1, 0, 1, 1]
  return {
    Type: 'Viewport',
    Name: pdfText(place.name),
    BBox: [left, pageHeight - bottom, right, pageHeight - top].map(value => new ExactNumber(value, 6)),
    Measure: {
      Type: 'Measure',
      Subtype: 'GEO',
      Bounds: shares,
      LPTS: shares,
      GPTS: place.corners.flat().map(value => new ExactNumber(value, 14)),
      GCS: { Type: 'PROJCS', ...(place.epsg === null ? {} : { EPSG: place.epsg }), WKT: pdfText(place.wkt) },
    },
  }
}

/** A number that pdfkit writes as it stands: its own are rounded to single precision, metres on the ground. */
class ExactNumber {
  readonly #text: string
  constructor(value: number, digits: number) {
    this.#text = value.toFixed(digits)
  }
  toString(): string {
    return this.#text
  }
  // Without a tag of its own pdfkit would write it as a dictionary.
  get [Symbol.toStringTag](): string {
    return 'ExactNumber'
  }
}

// pdfkit writes a String object as a text string and a plain one as a name.
const pdfText = (text: string): unknown => Object(text)

function rgb(colour: string): string {
  const value = Number.parseInt(colour.slice(1), 16)
  return [value >> 16, (value >> 8) & 255, value & 255].map(part => num(part / 255, 4)).join(' ')
}

/** A number in a content stream: 0.01 pt is 3.5 um on paper. */
function num(value: number, digits = 2): string {
  const text = value.toFixed(digits)
  const short = text.includes('.') ? text.replace(/\.?0+$/, '') : text
  return short === '-0' ? '0' : short
}

function joinBytes(chunks: readonly Uint8Array[]): Uint8Array {
  const bytes = new Uint8Array(chunks.reduce((sum, chunk) => sum + chunk.length, 0))
  let offset = 0
  for (const chunk of chunks) {
    bytes.set(chunk, offset)
    offset += chunk.length
  }
  return bytes
}
