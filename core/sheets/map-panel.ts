import type { WorkingFrame } from '../geo/index.ts'
import type { Box } from '../model/geometry.ts'
import type { SheetContent } from '../model/sheet-content.ts'
import { INK, SOFT_INK } from '../model/symbols.ts'
import { type Block, stackBlocks, type TextLook, textBlock } from './blocks.ts'
import { linePath, type Operator, type Rect } from './display-list.ts'
import type { SheetFonts } from './fonts.ts'
import { buildLegend, type LegendKey } from './legend.ts'
import { drawMapBody } from './map-body.ts'
import { drawMapFrame, scaleRowBlock, TICK_ROOM } from './map-furniture.ts'
import { buildPageTransform, type PageTransform } from './page-transform.ts'

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

/** Map above; scale, norths, legend and cautions below it. The legend names what the map drew, so both are settled together. */
export function drawMapPanel(setting: PanelSetting, area: Rect): MapPanel {
  const [left, top, right, bottom] = area
  const inner = { left: left + TICK_ROOM, right: right - TICK_ROOM }
  let stripHigh = 120
  for (let round = 0; ; round++) {
    const box: Rect = [inner.left, top + TICK_ROOM, inner.right, bottom - stripHigh - TICK_ROOM - 4]
    const transform = buildPageTransform(setting.frame, setting.extent, box, setting.scale)
    const body = drawMapBody(setting.content, transform, setting.fonts)
    const strip = buildStrip(setting, transform, inner.right - inner.left, body.drawn)
    // A legend that shrank leaves a little air rather than another round.
    if (round > 0 && (Math.abs(strip.height - stripHigh) < 0.01 || (round > 4 && strip.height <= stripHigh))) {
      return {
        transform,
        items: [
          ...body.layers,
          ...drawMapFrame(transform, setting.fonts),
          ...strip.draw(inner.left, bottom - stripHigh),
        ],
      }
    }
    if (round > 8) throw new Error('The legend and the map did not settle.')
    stripHigh = round > 4 ? Math.max(stripHigh, strip.height) : strip.height
  }
}

function buildStrip(
  setting: PanelSetting,
  transform: PageTransform,
  width: number,
  drawn: ReadonlySet<LegendKey>,
): Block {
  const { content, fonts, size } = setting
  const row = scaleRowBlock(content, transform, setting.pageName, width, fonts)
  const legend = buildLegend(content, drawn, width, fonts, size)
  const look: TextLook = { face: 'sans', size: Math.max(6.2, size * 0.88), colour: SOFT_INK }
  const notes = [content.positionNote, ...content.cautions].filter(text => text !== '').join(' ')
  const caution = stackBlocks([
    textBlock(notes, look, width, fonts, 0),
    textBlock(content.credits.join(' '), look, width, fonts, 2.5),
  ])
  const gaps = { afterRow: 7, afterRule: 7, afterLegend: 3 }
  const height = row.height + gaps.afterRow + gaps.afterRule + legend.height + gaps.afterLegend + caution.height
  return {
    gap: 0,
    height,
    draw(x, y) {
      const rule = y + row.height + gaps.afterRow
      const legendTop = rule + gaps.afterRule
      return [
        ...row.draw(x, y),
        linePath([x, rule, x + width, rule], { colour: INK, width: 0.5 }),
        ...legend.draw(x, legendTop),
        ...caution.draw(x, legendTop + legend.height + gaps.afterLegend),
      ]
    },
  }
}
