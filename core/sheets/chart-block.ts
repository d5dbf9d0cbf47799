import type { ChartPoint } from '../model/answer.ts'
import { type ChartShapes, layOutChart } from '../model/chart-shapes.ts'
import type { SheetContent } from '../model/sheet-content.ts'
import { INK, SEASON_SYMBOLS, SOFT_INK } from '../model/symbols.ts'
import { type Block, type TypeScale, textAt } from './blocks.ts'
import { linePath, type Operator, rectPath, type TextOperator } from './display-list.ts'
import type { SheetFonts } from './fonts.ts'
import { LabelField } from './labels.ts'
import { PAPER } from './map-looks.ts'
import { circleLine } from './map-marks.ts'
import { boxOfRect } from './text-box.ts'

/** The answer's chart: marks with intervals, a dashed fit, values beside the marks where there is room. */
export function chartBlock(content: SheetContent, width: number, type: TypeScale, fonts: SheetFonts): Block | null {
  const { chart } = content
  if (chart === null || chart.points.length === 0) return null
  const size = type.small
  const plotHigh = Math.max(44, width * 0.21)
  const probe = layOutChart(chart, 100, plotHigh, content.reading)
  const axisWide = Math.max(...probe.ticks.map(tick => fonts.width(tick.label, 'sans', size))) + 6
  const shapes = layOutChart(chart, width - axisWide, plotHigh, content.reading)
  const top = size * 1.1
  return {
    gap: type.body * 0.4,
    height: top + plotHigh + size * 2,
    draw(x, y) {
      const at: Corner = { x: x + axisWide, y: y + top }
      return [...drawAxis(shapes, at, size), ...drawMarks(shapes, content, at, size, fonts)]
    },
  }
}

/** Heading of the chart: its title and the unit of its axis. */
export function chartTitle(content: SheetContent): string {
  const { chart } = content
  if (chart === null) return ''
  const { unit } = layOutChart(chart, 100, 100, content.reading)
  return unit === '' ? chart.title : `${chart.title}, ${unit}`
}

/** The chart in words: each mark's name and value. */
export function chartWords(content: SheetContent): string {
  const { chart } = content
  if (chart === null) return ''
  const { marks } = layOutChart(chart, 100, 100, content.reading)
  const values = marks.flatMap(mark => (mark.y === null ? [] : [`${mark.point.label} ${mark.label}`]))
  return `${chartTitle(content)}: ${values.join('; ')}.`
}

interface Corner {
  readonly x: number
  readonly y: number
}

function drawAxis(shapes: ChartShapes, at: Corner, size: number): Operator[] {
  const look = { face: 'sans', size, colour: SOFT_INK } as const
  return shapes.ticks.flatMap(tick => [
    linePath([at.x, at.y + tick.y, at.x + shapes.width, at.y + tick.y], { colour: '#ddd8cc', width: 0.4 }),
    textAt(tick.label, at.x - 4, at.y + tick.y + size * 0.34, look, 'end'),
  ])
}

function drawMarks(
  shapes: ChartShapes,
  content: SheetContent,
  at: Corner,
  size: number,
  fonts: SheetFonts,
): Operator[] {
  const items: Operator[] = [
    linePath([at.x, at.y + shapes.zero, at.x + shapes.width, at.y + shapes.zero], { colour: INK, width: 0.7 }),
  ]
  if (shapes.fit !== null) {
    const [x0, y0, x1, y1] = shapes.fit
    items.push(linePath([at.x + x0, at.y + y0, at.x + x1, at.y + y1], { colour: INK, width: 0.7, dash: [3, 2] }))
  }
  const labels = new LabelField(fonts, [
    at.x - 14,
    at.y - size * 1.4,
    at.x + shapes.width + 8,
    at.y + shapes.height + size * 2,
  ])
  if (shapes.fit !== null) blockLine(labels, shapes.fit, at)
  for (const mark of shapes.marks) {
    const x = at.x + mark.x
    const colour = colourOf(mark.point, content)
    if (mark.low !== null && mark.high !== null) {
      items.push(linePath([x, at.y + mark.low, x, at.y + mark.high], { colour, width: 0.8 }))
    }
    if (mark.y === null) continue
    const y = at.y + mark.y
    if (shapes.barWidth > 0) items.push(bar(x, y, at.y + shapes.zero, shapes.barWidth, colour))
    else
      items.push({
        op: 'path',
        lines: [circleLine(x, y, 2.4)],
        isClosed: true,
        fill: colour,
        stroke: { colour: PAPER, width: 0.6 },
      })
    labels.block(boxOfRect(x - 2.4, y - 2.4, x + 2.4, y + 2.4))
  }
  placeSeasonNames(shapes, at, size, labels)
  placeValues(shapes, at, size, labels)
  return [...items, ...labels.placed]
}

/** Keeps values off the fitted line. */
function blockLine(labels: LabelField, [x0, y0, x1, y1]: readonly [number, number, number, number], at: Corner): void {
  const steps = 60
  for (let i = 0; i <= steps; i++) {
    const [x, y] = [at.x + x0 + ((x1 - x0) * i) / steps, at.y + y0 + ((y1 - y0) * i) / steps]
    labels.avoid(boxOfRect(x - 1, y - 1, x + 1, y + 1))
  }
}

function placeSeasonNames(shapes: ChartShapes, at: Corner, size: number, labels: LabelField): void {
  for (const mark of shapes.marks) {
    const look = { face: 'sans', size, colour: SOFT_INK } as const
    labels.place([textAt(mark.point.label, at.x + mark.x, at.y + shapes.height + size * 1.5, look, 'middle')], 0.8)
  }
}

/** Newest first: where marks crowd, the older values go. */
function placeValues(shapes: ChartShapes, at: Corner, size: number, labels: LabelField): void {
  for (const mark of [...shapes.marks].reverse()) {
    if (mark.y === null) continue
    const look = { face: 'sans', size, colour: INK } as const
    const x = at.x + mark.x
    const above = at.y + Math.min(mark.y, mark.high ?? mark.y) - 5.2
    const beside = at.y + mark.y + size * 0.34
    const places: TextOperator[] = [
      textAt(mark.label, x, above, look, 'middle'),
      textAt(mark.label, x - 5, beside, look, 'end'),
      textAt(mark.label, x + 5, beside, look),
      textAt(mark.label, x, at.y + mark.y + size * 1.25, look, 'middle'),
      textAt(mark.label, x + 3.5, at.y + mark.y + size * 1.15, look),
      textAt(mark.label, x - 3.5, at.y + mark.y - size * 0.5, look, 'end'),
    ]
    labels.place(
      places.map(place => ({ ...place, halo: PAPER })),
      0.4,
    )
  }
}

const bar = (x: number, y: number, zero: number, width: number, colour: string): Operator =>
  rectPath([x - width / 2, Math.min(y, zero), x + width / 2, Math.max(y, zero)], { fill: colour })

function colourOf(point: ChartPoint, content: SheetContent): string {
  if (point.season === content.seasons.shown) return SEASON_SYMBOLS.shown.stroke
  if (point.season !== undefined && point.season === content.seasons.compared) return SEASON_SYMBOLS.compared.stroke
  return SOFT_INK
}
