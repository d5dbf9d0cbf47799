import type { WorkingFrame } from '../geo/index.ts'
import type { Box } from '../model/geometry.ts'
import type { SheetContent } from '../model/sheet-content.ts'
import { INK, SOFT_INK } from '../model/symbols.ts'
import { type Block, spaced, type TextLook, tagBlock, textAt } from './blocks.ts'
import { linePath, type Operator, type Rect, taggedAs } from './display-list.ts'
import type { SheetFonts } from './fonts.ts'
import { buildLegend, type Legend, type LegendKey, legendLabels, legendWidth, likelyKeys } from './legend.ts'
import { drawMapBody } from './map-body.ts'
import { drawMapFrame, scaleBlock, TICK_ROOM } from './map-furniture.ts'
import { buildPageTransform, type PageTransform } from './page-transform.ts'
import { wrapText } from './wrap.ts'

/** The map with all that explains it, in one rectangle of the page. */
export interface MapPanel {
  readonly items: readonly Operator[]
  readonly transform: PageTransform
}

export interface PanelSetting {
  readonly content: SheetContent
  readonly frame: WorkingFrame
  readonly extent: Box
  readonly fonts: SheetFonts
  readonly pageName: string
  readonly scale: number | undefined
  /** Size of the legend's text, points. */
  readonly size: number
}

/** A way to put what explains the map round it, and what that takes from the panel: points. */
export interface PanelNeeds {
  readonly legend: 'below' | 'beside'
  /** Left and right of the map together. */
  readonly across: number
  /** Above and below the map together. */
  readonly down: number
  /** Of the map, so that what stands beside it fits. */
  readonly leastHeight: number
}

/** Between the ticks' labels and what explains the map. */
const STRIP_GAP = 5
const GUTTER = 14

/** What a panel of a width needs beside the map itself, by where the legend stands; counted with every row that the legend may have. */
export function panelNeeds(setting: PanelSetting, width: number): PanelNeeds[] {
  const transform = buildPageTransform(setting.frame, setting.extent, [0, 0, 100, 100], setting.scale)
  const parts = explanation(setting, transform, width, likelyKeys(setting.content))
  const ticks = 2 * TICK_ROOM
  const notes = 8 + parts.notes.height + STRIP_GAP
  return [
    { legend: 'below', across: ticks, down: ticks + notes + parts.upper, leastHeight: 120 },
    {
      legend: 'beside',
      across: ticks + GUTTER + parts.sideWide,
      down: ticks + notes,
      leastHeight: parts.sideLegend.height + GUTTER + parts.sideScale.height,
    },
  ]
}

/** The map with scale, norths, legend and notes round it. The legend names what the map drew. */
export function drawMapPanel(setting: PanelSetting, area: Rect, needs: PanelNeeds): MapPanel {
  const [left, top, right, bottom] = area
  const isBeside = needs.legend === 'beside'
  const box: Rect = [
    left + TICK_ROOM,
    top + TICK_ROOM,
    right - needs.across + TICK_ROOM,
    bottom - needs.down + TICK_ROOM,
  ]
  const transform = buildPageTransform(setting.frame, setting.extent, box, setting.scale)
  const body = drawMapBody(setting.content, transform, setting.fonts)
  const parts = explanation(setting, transform, right - left, body.drawn)
  const under = box[3] + TICK_ROOM + STRIP_GAP
  const rule = (y: number) => linePath([left, y, right, y], { colour: INK, width: 0.4 })
  const sideLeft = right - parts.sideWide
  const explained = isBeside
    ? [
        ...parts.sideLegend.draw(sideLeft, box[1]),
        ...parts.sideScale.draw(sideLeft, box[3] - parts.sideScale.height),
        rule(under),
        ...parts.notes.draw(left, under + 5),
      ]
    : [
        ...parts.scale.draw(left, under),
        ...parts.legend.draw(left + parts.scaleWide + GUTTER, under),
        rule(under + parts.upper + 3),
        ...parts.notes.draw(left, under + parts.upper + 8),
      ]
  const map = [...body.layers, ...drawMapFrame(transform, setting.fonts)]
  const words = mapWords(setting.content, transform, body.drawn)
  return { transform, items: [taggedAs('Figure', map, words), ...explained] }
}

/** The map in words: its scale, and what the legend names. */
function mapWords(content: SheetContent, { scale }: PageTransform, drawn: ReadonlySet<LegendKey>): string {
  const number = new Intl.NumberFormat(content.reading.locale)
  return `Map of ${content.place} at 1:${number.format(scale)}. It shows ${legendLabels(content, drawn).join('; ')}.`
}

const paragraph = (legend: Legend): Block => tagBlock('P', { gap: 0, ...legend })

function explanation(setting: PanelSetting, transform: PageTransform, width: number, drawn: ReadonlySet<LegendKey>) {
  const { content, fonts, size, pageName } = setting
  const scaleWide = Math.min(225, Math.max(168, width * 0.3))
  const scale = scaleBlock(content, transform, pageName, scaleWide, fonts)
  const legend = buildLegend(content, drawn, width - scaleWide - GUTTER, fonts, size)
  const sideWide = legendWidth(content, drawn, fonts, size)
  return {
    scaleWide,
    scale: tagBlock('P', scale),
    legend: paragraph(legend),
    upper: Math.max(scale.height, legend.height),
    sideWide,
    sideLegend: paragraph(buildLegend(content, drawn, sideWide, fonts, size, 1)),
    sideScale: tagBlock('P', scaleBlock(content, transform, pageName, sideWide, fonts)),
    notes: tagBlock('P', notesBlock(setting, width)),
  }
}

/** Position note, cautions and credits, in as many columns as keep lines readable. */
function notesBlock({ content, fonts, size }: PanelSetting, width: number): Block {
  const look: TextLook = { face: 'sans', size: Math.max(6.1, size * 0.86), colour: SOFT_INK }
  const text = [content.positionNote, ...content.cautions, ...content.credits].filter(one => one !== '').join(' ')
  const columns = Math.max(1, Math.round(width / (look.size * 60)))
  const gutter = 14
  const columnWidth = (width - gutter * (columns - 1)) / columns
  const lines = spaced(wrapText(text, look.face, look.size, columnWidth, fonts))
  const perColumn = Math.ceil(lines.length / columns)
  const pitch = look.size * 1.26
  return {
    gap: 0,
    height: perColumn * pitch,
    draw: (x, y) =>
      lines.map((line, i) => {
        const column = Math.floor(i / perColumn)
        return textAt(line, x + column * (columnWidth + gutter), y + (i % perColumn) * pitch + look.size, look)
      }),
  }
}
