import type { Chart, ChartPoint } from './answer.ts'
import type { Reading } from './quantity.ts'
import { METRES_PER_FOOT, METRES_PER_MILE, SQUARE_METRES_PER_ACRE } from './units.ts'

/** A chart laid out in a box whose corner is (0, 0), y down; the same shapes go to the screen and to paper. */
export interface ChartShapes {
  readonly width: number
  readonly height: number
  /** Unit of the axis, as text; empty for counts. */
  readonly unit: string
  readonly ticks: readonly { readonly y: number; readonly label: string }[]
  readonly marks: readonly ChartMark[]
  readonly fit: readonly [x0: number, y0: number, x1: number, y1: number] | null
  /** Where the axis value 0 lies. */
  readonly zero: number
  /** Width of a bar; 0 for a chart of seasons. */
  readonly barWidth: number
}

export interface ChartMark {
  readonly point: ChartPoint
  readonly x: number
  /** Null where there is no value. */
  readonly y: number | null
  readonly low: number | null
  readonly high: number | null
  /** The value in the axis unit, as text without the unit. */
  readonly label: string
}

/** Lays a chart out in a box; the axis holds 0, every value, both ends of the intervals and the fitted line. */
export function layOutChart(chart: Chart, width: number, height: number, reading: Reading): ChartShapes {
  const values = chart.points.flatMap(({ y, low, high }) => [y, low, high]).filter(value => value != null)
  if (chart.fit !== null) values.push(chart.fit.from[1], chart.fit.to[1])
  const axis = axisUnit(chart.yKind, Math.max(0, ...values.map(Math.abs)), reading)
  const [least, most] = [Math.min(0, ...values) / axis.divisor, Math.max(0, ...values) / axis.divisor]
  const step = roundStep((most - least || 1) / 3, chart.yKind === 'count')
  const [floor, roof] = [Math.floor(least / step + 1e-9) * step, Math.max(Math.ceil(most / step - 1e-9), 1) * step]
  const toY = (value: number) => height * (1 - (value / axis.divisor - floor) / (roof - floor))
  const toX = horizontalScale(chart, width)
  const tickDigits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9))
  const number = (value: number, digits: number) =>
    new Intl.NumberFormat(reading.locale, { minimumFractionDigits: digits, maximumFractionDigits: digits })
      .format(Number(value.toFixed(digits)) === 0 ? 0 : value)
      .replace('-', '−')
  const tickCount = Math.round((roof - floor) / step)
  return {
    width,
    height,
    unit: axis.unit,
    ticks: Array.from({ length: tickCount + 1 }, (_, k) => floor + k * step).map(value => ({
      y: toY(value * axis.divisor),
      label: number(value, tickDigits),
    })),
    marks: chart.points.map((point, index) => ({
      point,
      x: toX(point, index),
      y: point.y === null ? null : toY(point.y),
      low: point.low == null ? null : toY(point.low),
      high: point.high == null ? null : toY(point.high),
      label: point.y === null ? '' : number(point.y / axis.divisor, valueDigits(chart.yKind, most)),
    })),
    fit:
      chart.fit === null
        ? null
        : [
            toX({ x: chart.fit.from[0] }, 0),
            toY(chart.fit.from[1]),
            toX({ x: chart.fit.to[0] }, 0),
            toY(chart.fit.to[1]),
          ],
    zero: toY(0),
    barWidth: chart.kind === 'bars' ? (width / Math.max(chart.points.length, 1)) * 0.62 : 0,
  }
}

/** Seasons stand at their x in time, with half a step of room at both ends; bars stand side by side. */
function horizontalScale(chart: Chart, width: number): (point: { readonly x: number }, index: number) => number {
  const count = Math.max(chart.points.length, 1)
  if (chart.kind === 'bars') return (_, index) => ((index + 0.5) / count) * width
  const xs = chart.points.map(point => point.x)
  const [first, last] = [Math.min(...xs), Math.max(...xs)]
  if (!(last > first)) return () => width / 2
  const room = (last - first) / Math.max(count - 1, 1) / 2
  return point => ((point.x - first + room) / (last - first + 2 * room)) * width
}

function axisUnit(kind: Chart['yKind'], most: number, reading: Reading): { divisor: number; unit: string } {
  const isMetric = reading.units === 'hectares-metres'
  if (kind === 'share') return { divisor: 0.01, unit: '%' }
  if (kind === 'count') return { divisor: 1, unit: '' }
  if (kind === 'area')
    return isMetric ? { divisor: 10_000, unit: 'ha' } : { divisor: SQUARE_METRES_PER_ACRE, unit: 'ac' }
  const length = isMetric
    ? most < 1000
      ? { divisor: 1, unit: 'm' }
      : { divisor: 1000, unit: 'km' }
    : most < METRES_PER_MILE / 2
      ? { divisor: METRES_PER_FOOT, unit: 'ft' }
      : { divisor: METRES_PER_MILE, unit: 'mi' }
  return kind === 'rate' ? { ...length, unit: `${length.unit}/yr` } : length
}

function roundStep(least: number, isWhole: boolean): number {
  const power = 10 ** Math.floor(Math.log10(least))
  const step = [1, 2, 5, 10].map(k => k * power).find(value => value >= least - 1e-12)!
  return isWhole ? Math.max(1, step) : step
}

const valueDigits = (kind: Chart['yKind'], most: number): number =>
  kind === 'count' || kind === 'share' || most >= 100 ? 0 : most >= 10 ? 1 : most >= 2 ? 1 : 2
