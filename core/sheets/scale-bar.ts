import { INK } from '../model/symbols.ts'
import { METRES_PER_FOOT, METRES_PER_MILE } from '../model/units.ts'
import { linePath, type Operator, rectPath, type TextOperator } from './display-list.ts'
import type { PageTransform } from './page-transform.ts'

/** A bar of `divisions` equal parts, round in its own unit. */
export interface ScaleBar {
  readonly unit: 'm' | 'km' | 'ft' | 'mi'
  /** One division: in the unit, in metres, in points on the page. */
  readonly division: number
  readonly metres: number
  readonly points: number
  readonly divisions: number
}

const DIVISIONS = 4

/** The longest round bars that fit `room` points, metric first. */
export function scaleBarsFor(transform: PageTransform, room: number): [metric: ScaleBar, imperial: ScaleBar] {
  return [
    barIn(transform, room, ['m', 1], ['km', 1000]),
    barIn(transform, room, ['ft', METRES_PER_FOOT], ['mi', METRES_PER_MILE]),
  ]
}

type Unit = readonly [unit: ScaleBar['unit'], metres: number]

function barIn(transform: PageTransform, room: number, small: Unit, large: Unit): ScaleBar {
  const reach = (room / DIVISIONS) * transform.metresPerPoint
  // The large unit from half of it a division on: below, its divisions would be fractions.
  const [unit, size] = reach >= large[1] / 2 ? large : small
  const most = reach / size
  const power = 10 ** Math.floor(Math.log10(most))
  const division = [5, 2.5, 2, 1].map(k => k * power).find(value => value <= most + 1e-9 && isRound(value, unit))!
  return {
    unit,
    division,
    metres: division * size,
    points: (division * size) / transform.metresPerPoint,
    divisions: DIVISIONS,
  }
}

/** Fractions only of kilometres and miles, and only halves. */
const isRound = (value: number, unit: ScaleBar['unit']): boolean =>
  unit === 'm' || unit === 'ft' ? Number.isInteger(value) || value < 1 : Number.isInteger(value * 2)

/** Both bars on one rule: metric above, feet or miles below. Needs 26 points of height. */
export function drawScaleBars(
  transform: PageTransform,
  x: number,
  y: number,
  room: number,
  locale: string,
): Operator[] {
  const [metric, imperial] = scaleBarsFor(transform, room)
  const middle = y + 12
  const number = new Intl.NumberFormat(locale, { maximumFractionDigits: 1 })
  const items: Operator[] = []
  for (let i = 0; i < metric.divisions; i++) {
    const [left, right] = [x + i * metric.points, x + (i + 1) * metric.points]
    const isInk = i % 2 === 0
    items.push(
      rectPath([left, middle - 4, right, middle], {
        fill: isInk ? INK : '#ffffff',
        stroke: { colour: INK, width: 0.5 },
      }),
    )
  }
  items.push(
    linePath([x, middle + 2.5, x + imperial.points * imperial.divisions, middle + 2.5], { colour: INK, width: 0.5 }),
  )
  for (let i = 0; i <= imperial.divisions; i++) {
    const at = x + i * imperial.points
    items.push(linePath([at, middle + 2.5, at, middle + (i % 2 === 0 ? 6.5 : 5)], { colour: INK, width: 0.5 }))
  }
  const label = (bar: ScaleBar, i: number, baseline: number): TextOperator => ({
    op: 'text',
    text: `${number.format(bar.division * i)}${i === bar.divisions ? `\u00a0${bar.unit}` : ''}`,
    x: x + i * bar.points,
    y: baseline,
    align: i === 0 ? 'start' : 'middle',
    face: 'sans',
    size: 6.5,
    colour: INK,
  })
  for (const i of [0, 2, 4]) {
    items.push(label(metric, i, middle - 6), label(imperial, i, middle + 13))
  }
  return items
}
