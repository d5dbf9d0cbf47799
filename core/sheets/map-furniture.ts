import type { SheetContent } from '../model/sheet-content.ts'
import { INK, SOFT_INK } from '../model/symbols.ts'
import { type Block, stackBlocks, type TextLook, textAt, textBlock } from './blocks.ts'
import { linePath, type Operator, type Rect, rectPath, type TextOperator } from './display-list.ts'
import type { SheetFonts } from './fonts.ts'
import { findUtmZone } from './frame-wkt.ts'
import { convergenceOf, type PageTransform } from './page-transform.ts'
import { drawScaleBars } from './scale-bar.ts'
import { boxesOverlap, boxOfText, type TextBox } from './text-box.ts'
import { degreeTicks, gridTicks, type Tick } from './ticks.ts'

/** Room for tick labels outside the map frame on every side. */
export const TICK_ROOM = 12
const TICK_SIZE = 6.2

/** The neat line with its ticks: degrees and minutes at the top and left, the grid at the bottom and right. */
export function drawMapFrame(transform: PageTransform, fonts: SheetFonts): Operator[] {
  const items: Operator[] = [rectPath(transform.box, { stroke: { colour: INK, width: 1 } })]
  const taken: TextBox[] = []
  for (const tick of [...degreeTicks(transform), ...gridTicks(transform)]) {
    items.push(tickLine(tick, transform.box))
    const label = tickLabel(tick, transform.box)
    const box = boxOfText(label, fonts)
    const isInside = edgeHolds(box, tick, transform.box)
    if (!isInside || taken.some(other => boxesOverlap(box, other))) continue
    taken.push(box)
    items.push(label)
  }
  return [...drawCrosses(transform), ...items]
}

function tickLine(tick: Tick, [left, top, right, bottom]: Rect): Operator {
  const stroke = { colour: INK, width: 0.7 }
  const long = 4
  if (tick.edge === 'top') return linePath([tick.at, top - long, tick.at, top + long], stroke)
  if (tick.edge === 'bottom') return linePath([tick.at, bottom, tick.at, bottom + long], stroke)
  if (tick.edge === 'left') return linePath([left - long, tick.at, left + long, tick.at], stroke)
  return linePath([right, tick.at, right + long, tick.at], stroke)
}

function tickLabel(tick: Tick, [left, top, right, bottom]: Rect): TextOperator {
  const isDegrees = tick.edge === 'top' || tick.edge === 'left'
  const look: TextLook = { face: 'sans', size: TICK_SIZE, colour: isDegrees ? INK : SOFT_INK }
  if (tick.edge === 'top') return textAt(tick.label, tick.at, top - 5.2, look, 'middle')
  if (tick.edge === 'bottom') return textAt(tick.label, tick.at, bottom + 10, look, 'middle')
  if (tick.edge === 'left') return { ...textAt(tick.label, left - 5.2, tick.at, look, 'middle'), angle: -90 }
  return { ...textAt(tick.label, right + 10, tick.at, look, 'middle'), angle: -90 }
}

/** Whether a label stays within the length of its edge, so that corners stay clear. */
function edgeHolds(box: TextBox, tick: Tick, [left, top, right, bottom]: Rect): boolean {
  const isAcross = tick.edge === 'top' || tick.edge === 'bottom'
  const values = [0, 2, 4, 6].map(i => box[isAcross ? i : i + 1]!)
  const [low, high] = isAcross ? [left, right] : [top, bottom]
  return Math.min(...values) >= low && Math.max(...values) <= high
}

/** Small crosses where the meridians and parallels of the ticks meet. */
function drawCrosses(transform: PageTransform): Operator[] {
  const ticks = degreeTicks(transform)
  const [left, top, right, bottom] = transform.box
  const arm = 3
  const lines = ticks
    .filter(tick => tick.edge === 'top')
    .flatMap(meridian =>
      ticks
        .filter(tick => tick.edge === 'left')
        .map(parallel => transform.positionToPage(meridian.value, parallel.value))
        .filter(([x, y]) => x > left + arm && x < right - arm && y > top + arm && y < bottom - arm)
        .flatMap(([x, y]) => [Float64Array.of(x - arm, y, x + arm, y), Float64Array.of(x, y - arm, x, y + arm)]),
    )
  return lines.length === 0 ? [] : [{ op: 'path', lines, isClosed: false, stroke: { colour: SOFT_INK, width: 0.4 } }]
}

/** Narrower than this the norths stand below the bars. */
const BARS_AND_NORTHS = 160

/** Scale bars, the two norths, and what the scale and the grid are. */
export function scaleBlock(
  content: SheetContent,
  transform: PageTransform,
  pageName: string,
  width: number,
  fonts: SheetFonts,
): Block {
  const northWide = 56
  const isNarrow = width < BARS_AND_NORTHS
  const room = isNarrow ? width - 18 : width - northWide - 20
  const note = noteBlock(content, transform, pageName, isNarrow ? width - northWide - 6 : width, fonts)
  const barsHigh = 31
  return {
    gap: 6,
    height: barsHigh + Math.max(note.height, isNarrow ? 34 : 0),
    draw: (x, y) => [
      ...drawScaleBars(transform, x, y, room, content.reading.locale),
      ...drawNorths(transform, x + width - northWide, isNarrow ? y + barsHigh - 2 : y - 3, content.reading.locale),
      ...note.draw(x, y + barsHigh),
    ],
  }
}

function noteBlock(
  content: SheetContent,
  transform: PageTransform,
  pageName: string,
  width: number,
  fonts: SheetFonts,
) {
  const scale = `1:${new Intl.NumberFormat(content.reading.locale).format(transform.scale)} on ${pageName}`
  const bold: TextLook = { face: 'sans-bold', size: 7, colour: INK }
  const soft: TextLook = { face: 'sans', size: 6.2, colour: SOFT_INK }
  return stackBlocks([
    textBlock(scale, bold, width, fonts, 0),
    textBlock(projectionNote(transform), soft, width, fonts, 0.5),
  ])
}

export function projectionNote(transform: PageTransform): string {
  const zone = findUtmZone(transform.frame.crs)
  return zone === null
    ? `${transform.frame.name}, WGS 84. Ticks: degrees and minutes.`
    : `UTM zone ${zone.zone}${zone.isNorth ? 'N' : 'S'}, WGS 84. Degrees and minutes at the top and left, grid metres at the bottom and right.`
}

/** Two arrows from one foot: grid north straight up, true north turned by the convergence (drawn wider when too small to see). */
function drawNorths(transform: PageTransform, x: number, y: number, locale: string): Operator[] {
  const convergence = convergenceOf(transform)
  const [foot, tip] = [y + 32, y + 9]
  const middle = x + 12
  const length = foot - tip
  const lean = convergence === 0 ? 0 : Math.sign(convergence) * Math.max(Math.abs(convergence), 9)
  // True north lies at grid bearing -convergence.
  const turn = (-lean * Math.PI) / 180
  const [trueX, trueY] = [middle + length * Math.sin(turn), foot - length * Math.cos(turn)]
  const isTrueLeft = trueX <= middle
  const look: TextLook = { face: 'sans', size: 6.2, colour: INK }
  const degrees = new Intl.NumberFormat(locale, { minimumFractionDigits: 2, maximumFractionDigits: 2 }).format(
    Math.abs(convergence),
  )
  const side = Math.abs(convergence) < 0.005 ? '' : convergence > 0 ? ' E' : ' W'
  return [
    linePath([middle, foot, middle, tip], { colour: INK, width: 0.8 }),
    linePath([middle, foot, trueX, trueY], { colour: INK, width: 0.8 }),
    head(middle, tip, 0, false),
    head(trueX, trueY, turn, true),
    textAt('grid', middle + (isTrueLeft ? 3 : -3), tip - 1.5, look, isTrueLeft ? 'start' : 'end'),
    textAt('true', trueX + (isTrueLeft ? -2 : 2), trueY - 1.5, look, isTrueLeft ? 'end' : 'start'),
    textAt('grid north', middle + 7, foot - 8, { ...look, colour: SOFT_INK }),
    textAt(`${degrees}°${side}`, middle + 7, foot - 0.6, { ...look, colour: SOFT_INK }),
  ]
}

function head(x: number, y: number, turn: number, isFilled: boolean): Operator {
  const [long, wide] = [6, 2.2]
  const [sin, cos] = [Math.sin(turn), Math.cos(turn)]
  const at = (across: number, down: number) => [x + across * cos - down * sin, y + across * sin + down * cos]
  // Turned clockwise by `turn`: down the shaft is (-sin, cos).
  const line = Float64Array.from([...at(0, -0.5), ...at(wide, long), ...at(-wide, long)])
  return {
    op: 'path',
    lines: [line],
    isClosed: true,
    fill: isFilled ? INK : '#ffffff',
    stroke: { colour: INK, width: 0.6 },
  }
}
