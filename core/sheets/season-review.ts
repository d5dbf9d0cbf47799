import type { WorkingFrame } from '../geo/index.ts'
import type { SheetRequest } from '../model/brief.ts'
import type { Box } from '../model/geometry.ts'
import type { SheetContent } from '../model/sheet-content.ts'
import { INK, SOFT_INK } from '../model/symbols.ts'
import { type Block, flowBlocks, type TextLook, textAt, typeScale } from './blocks.ts'
import { type DisplayList, linePath, type Operator, type Rect, type SheetPage } from './display-list.ts'
import { extentOf } from './extent.ts'
import type { SheetFonts } from './fonts.ts'
import { drawMapPanel, type MapPanel, type PanelSetting, panelNeeds } from './map-panel.ts'
import { georeferenceOf } from './page-transform.ts'
import { type PageSize, pageSizeFor } from './pages.ts'
import { findLayout, type Layout } from './review-layout.ts'
import { detailBlocks, headlineWords, leadBlock, type Setting, titleBlock } from './review-text.ts'
import { fitText } from './wrap.ts'

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
  const pages = [[...first.items, ...first.panel.items], ...further]
  return {
    title: `${sheet.title}, ${content.place}`,
    description: headlineWords(content),
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

/** Text beside the map, and what finds no room there under it. */
function layLandscape(sheet: Sheet): FirstPage {
  const { size, margin } = sheet
  const columnWidth = columnWidthOf(sheet)
  const [right, bottom] = [size.width - margin, size.height - margin - FOOT]
  const column: Rect = [right - columnWidth, margin, right, bottom]
  const area: Rect = [margin, margin, column[0] - GUTTER, bottom]
  const layout = findLayout({
    ...questionFor(sheet, area),
    column,
    // Blocks are set to one width, so that columns under the map are at least as wide as the one beside it.
    columns: Math.max(1, Math.floor((area[2] - area[0] + GUTTER) / (columnWidth + GUTTER))),
    mostFactor: mostFactor(sheet, columnWidth),
    make(factor) {
      const setting = settingFor(sheet, columnWidth, factor)
      const head = [titleBlock(setting), leadBlock(setting)].map(block => ({ ...block, isFixed: true }))
      return { setting, blocks: [...head, ...detailBlocks(setting)] }
    },
  })
  return firstPage(sheet, layout, [])
}

const firstPage = (
  sheet: Sheet,
  { panel, needs, items, rest, setting }: Layout<Setting>,
  head: Operator[],
): FirstPage => ({
  panel: drawMapPanel(panelSetting(sheet), panel, needs),
  items: [...head, ...items],
  rest,
  setting,
})

/** Title over the map, text under it in columns. */
function layPortrait(sheet: Sheet): FirstPage {
  const { size, margin } = sheet
  const [left, right, bottom] = [margin, size.width - margin, size.height - margin - FOOT]
  const head = drawHead(sheet, [left, margin, right, bottom], right - left > 700 ? 1.3 : 0.94)
  const columnWidth = columnWidthOf(sheet)
  const layout = findLayout({
    ...questionFor(sheet, [left, head.bottom + 6, right, bottom]),
    column: null,
    columns: columnsOf(sheet),
    mostFactor: mostFactor(sheet, columnWidth),
    make(factor) {
      const setting = settingFor(sheet, columnWidth, factor)
      return { setting, blocks: detailBlocks(setting) }
    },
  })
  return firstPage(sheet, layout, head.items)
}

function questionFor(sheet: Sheet, area: Rect) {
  const { extent, request } = sheet
  return {
    area,
    gutter: GUTTER,
    extent,
    scale: request.scale,
    panels: panelNeeds(panelSetting(sheet), area[2] - area[0]),
  }
}

function drawHead(sheet: Sheet, [left, top, right]: Rect, factor: number): { items: Operator[]; bottom: number } {
  const titleWidth = (right - left) * 0.38
  const title = titleBlock(settingFor(sheet, titleWidth, factor))
  const lead = leadBlock(settingFor(sheet, right - left - titleWidth - GUTTER, factor * 0.95))
  return {
    items: [...title.draw(left, top), ...lead.draw(left + titleWidth + GUTTER, top + 4)],
    bottom: top + Math.max(title.height, lead.height + 4),
  }
}

function panelSetting(sheet: Sheet): PanelSetting {
  const { content, frame, extent, fonts, size, request } = sheet
  const legendSize = size.width * size.height > 700_000 ? 8 : 6.7
  return { content, frame, extent, fonts, pageName: size.name, scale: request.scale, size: legendSize }
}

/** Type larger than this breaks the lines of the table in a column of that width; an owner's table has short ones. */
const mostFactor = ({ content }: Sheet, columnWidth: number): number =>
  columnWidth / (content.audience === 'owner' ? 180 : 240)

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
function columnWidthOf(sheet: Sheet): number {
  const { size, margin, request } = sheet
  if (request.orientation === 'landscape') return Math.min(330, Math.max(206, size.width * 0.285))
  const columns = columnsOf(sheet)
  return (size.width - 2 * margin - GUTTER * (columns - 1)) / columns
}

/** Columns of text under a map over the whole width. */
const columnsOf = ({ size, margin }: Sheet): number => (size.width - 2 * margin > 640 ? 3 : 2)

function drawFoot({ content, size, margin, fonts }: Sheet, page: number, pages: number): Operator[] {
  const look: TextLook = { face: 'sans', size: 6.2, colour: SOFT_INK }
  const count = pages > 1 ? ` · page ${page} of ${pages}` : ''
  const rest = ` · data to ${content.dataDate} · run ${content.runId}${count}`
  const room = size.width - 2 * margin - fonts.width(rest, look.face, look.size)
  const place = fitText(content.place, look.face, look.size, room, fonts)
  return [textAt(`${place}${rest}`, size.width - margin, size.height - margin + 2, look, 'end')]
}
