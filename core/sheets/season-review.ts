import type { WorkingFrame } from '../geo/index.ts'
import type { SheetRequest } from '../model/brief.ts'
import type { Box } from '../model/geometry.ts'
import type { SheetContent } from '../model/sheet-content.ts'
import { INK, SOFT_INK } from '../model/symbols.ts'
import { type Block, flowBlocks, type TextLook, textAt, typeScale } from './blocks.ts'
import { type DisplayList, linePath, type Operator, type Rect, type SheetPage } from './display-list.ts'
import { extentOf } from './extent.ts'
import type { SheetFonts } from './fonts.ts'
import { drawMapPanel, type MapPanel } from './map-panel.ts'
import { georeferenceOf } from './page-transform.ts'
import { type PageSize, pageSizeFor } from './pages.ts'
import { detailBlocks, leadBlock, type Setting, titleBlock, words } from './review-text.ts'
import { fitText } from './wrap.ts'

/** Factors of the type, largest first: the largest that fits its place is taken. */
const FACTORS = [1.6, 1.5, 1.4, 1.3, 1.22, 1.15, 1.08, 1.02, 0.97, 0.92, 0.88, 0.84]
const FOOT = 14
const GUTTER = 18

interface Sheet {
  readonly content: SheetContent
  readonly title: string
  readonly request: SheetRequest
  readonly frame: WorkingFrame
  readonly fonts: SheetFonts
  readonly size: PageSize
  readonly margin: number
  readonly extent: Box
}

/** A first page laid out: what is on it, and the blocks that found no room. */
interface FirstPage {
  readonly panel: MapPanel
  readonly items: readonly Operator[]
  readonly rest: readonly Block[]
  /** Sets the rest again for the columns of a further page. */
  readonly setting: Setting
}

/**
 * The season review: a map of this and the last season with its answer, laid out for the page asked for.
 * Text that does not fit at its smallest runs over to further pages; nothing overlaps and no text is under 6 points.
 * Errors: InputError when the content holds no place to draw.
 */
export function drawSeasonReview(
  content: SheetContent,
  request: SheetRequest,
  frame: WorkingFrame,
  fonts: SheetFonts,
): DisplayList {
  const size = pageSizeFor(request)
  const sheet: Sheet = {
    content,
    title: request.title ?? content.title,
    request,
    frame,
    fonts,
    size,
    margin: Math.min(size.width, size.height) * 0.046,
    extent: extentOf(content, frame),
  }
  const first = request.orientation === 'landscape' ? layLandscape(sheet) : layPortrait(sheet)
  const further = layFurther(sheet, first.rest)
  const pages = [[...first.panel.items, ...first.items], ...further]
  return {
    title: `${sheet.title}, ${content.place}`,
    description: words(content.headline, content),
    date: content.dataDate,
    language: content.reading.locale,
    pages: pages.map(
      (items, index): SheetPage => ({
        width: size.width,
        height: size.height,
        items: [...items, ...drawFoot(sheet, index + 1, pages.length)],
        georeference: index === 0 ? georeferenceOf(first.panel.transform) : null,
      }),
    ),
  }
}

function settingFor(sheet: Sheet, width: number, factor: number): Setting {
  return { content: sheet.content, title: sheet.title, width, type: typeScale(factor), fonts: sheet.fonts }
}

/** Text beside the map. */
function layLandscape(sheet: Sheet): FirstPage {
  const { size, margin } = sheet
  const columnWidth = columnWidthOf(sheet)
  const [right, bottom] = [size.width - margin, size.height - margin - FOOT]
  const column: Rect = [right - columnWidth, margin, right, bottom]
  const panel = drawPanel(sheet, [margin, margin, column[0] - GUTTER, bottom])
  const make = (factor: number) => {
    const setting = settingFor(sheet, columnWidth, factor)
    return { setting, blocks: [titleBlock(setting), leadBlock(setting), ...detailBlocks(setting)] }
  }
  const { setting, blocks } = largestFit(make, [column])
  const { items, rest } = flowBlocks(blocks, [column])
  return { panel, items, rest, setting }
}

/** Title over the map, text under it in columns. */
function layPortrait(sheet: Sheet): FirstPage {
  const { size, margin } = sheet
  const [left, right, bottom] = [margin, size.width - margin, size.height - margin - FOOT]
  const inner = right - left
  const big = inner > 700 ? 1.35 : 1
  const head = drawHead(sheet, [left, margin, right, bottom], big)
  const columns = inner > 640 ? 3 : 2
  const columnWidth = (inner - GUTTER * (columns - 1)) / columns
  const make = (factor: number) => {
    const setting = settingFor(sheet, columnWidth, factor)
    return { setting, blocks: detailBlocks(setting) }
  }
  const regionsUnder = (top: number): Rect[] =>
    Array.from({ length: columns }, (_, i) => {
      const x = left + i * (columnWidth + GUTTER)
      return [x, top, x + columnWidth, bottom]
    })
  const shares = [0.76, 0.73, 0.7, 0.67, 0.64, 0.61, 0.58, 0.55]
  const tops = shares.map(share => head.bottom + 8 + (bottom - head.bottom) * share)
  const least = Math.min(mostFactor(columnWidth), big * 0.9)
  const top = tops.find(one => flowBlocks(make(least).blocks, regionsUnder(one + 12)).rest.length === 0) ?? tops.at(-1)!
  const panel = drawPanel(sheet, [left, head.bottom + 6, right, top])
  const regions = regionsUnder(top + 12)
  const { setting, blocks } = largestFit(make, regions)
  const { items, rest } = flowBlocks(blocks, regions)
  return { panel, items: [...head.items, ...items], rest, setting }
}

function drawHead(sheet: Sheet, [left, top, right]: Rect, factor: number): { items: Operator[]; bottom: number } {
  const titleWidth = (right - left) * 0.42
  const title = titleBlock(settingFor(sheet, titleWidth, factor))
  const lead = leadBlock(settingFor(sheet, right - left - titleWidth - GUTTER, factor * 0.95))
  return {
    items: [...title.draw(left, top), ...lead.draw(left + titleWidth + GUTTER, top + 4)],
    bottom: top + Math.max(title.height, lead.height + 4),
  }
}

function drawPanel(sheet: Sheet, area: Rect): MapPanel {
  const { content, frame, extent, fonts, size, request } = sheet
  const legendSize = size.width * size.height > 700_000 ? 8.4 : 6.9
  return drawMapPanel(
    { content, frame, extent, fonts, pageName: size.name, scale: request.scale, size: legendSize },
    area,
  )
}

/** Type larger than this breaks the lines of the table in a column of that width. */
const mostFactor = (columnWidth: number): number => columnWidth / 222

/** The largest type at which everything fits; where none does, a small one, and the rest runs over. */
function largestFit<T extends { readonly blocks: readonly Block[] }>(
  make: (factor: number) => T,
  regions: readonly Rect[],
): T {
  const most = mostFactor(regions[0]![2] - regions[0]![0])
  for (const factor of FACTORS.filter(one => one <= most)) {
    const made = make(factor)
    if (flowBlocks(made.blocks, regions).rest.length === 0) return made
  }
  return make(0.9)
}

/** Further pages for the blocks that found no room on the first. */
function layFurther(sheet: Sheet, rest: readonly Block[]): Operator[][] {
  const { size, margin, fonts, content } = sheet
  const pages: Operator[][] = []
  let open = rest
  while (open.length > 0) {
    const look: TextLook = { face: 'serif-bold', size: 13, colour: INK }
    const inner = size.width - 2 * margin
    const title = fitText(sheet.title, look.face, look.size, inner * 0.6, fonts)
    const place: TextLook = { face: 'sans', size: 7.6, colour: SOFT_INK }
    const after = fonts.width(title, look.face, look.size) + 10
    const placeName = fitText(content.place, place.face, place.size, inner - after, fonts)
    const columnWidth = columnWidthOf(sheet)
    const columns = Math.max(1, Math.floor((size.width - 2 * margin + GUTTER) / (columnWidth + GUTTER)))
    const regions = Array.from({ length: columns }, (_, i): Rect => {
      const x = margin + i * (columnWidth + GUTTER)
      return [x, margin + 30, x + columnWidth, size.height - margin - FOOT]
    })
    const flowed = flowBlocks(open, regions)
    if (flowed.rest.length === open.length) throw new Error('A block of the sheet is taller than a page.')
    pages.push([
      textAt(title, margin, margin + 12, look),
      textAt(placeName, margin + after, margin + 12, place),
      linePath([margin, margin + 20, size.width - margin, margin + 20], { colour: INK, width: 0.5 }),
      ...flowed.items,
    ])
    open = flowed.rest
  }
  return pages
}

/** Width that the first page's text was set to. */
function columnWidthOf({ size, margin, request }: Sheet): number {
  if (request.orientation === 'landscape') return Math.min(370, Math.max(206, size.width * 0.3))
  const inner = size.width - 2 * margin
  const columns = inner > 640 ? 3 : 2
  return (inner - GUTTER * (columns - 1)) / columns
}

function drawFoot({ content, size, margin, fonts }: Sheet, page: number, pages: number): Operator[] {
  const look: TextLook = { face: 'sans', size: 6.2, colour: SOFT_INK }
  const count = pages > 1 ? ` · page ${page} of ${pages}` : ''
  const rest = ` · data to ${content.dataDate} · run ${content.runId}${count}`
  const room = size.width - 2 * margin - fonts.width(rest, look.face, look.size)
  const place = fitText(content.place, look.face, look.size, room, fonts)
  return [textAt(`${place}${rest}`, size.width - margin, size.height - margin + 2, look, 'end')]
}
