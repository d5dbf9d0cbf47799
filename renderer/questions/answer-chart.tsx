import { scaleLinear } from 'd3-scale'
import { line } from 'd3-shape'
import type { ReactNode } from 'react'
import type { SeasonChoice } from '../../core/desk-view.ts'
import { type Chart, type ChartPoint, formatQuantity, type Reading } from '../../core/model/index.ts'
import { selectByIds } from '../state/selecting.ts'
import { useWindow } from '../state/use-window.ts'
import { HatchStrokes } from '../theme/swatch.tsx'
import { PhraseText } from '../widgets/figure-text.tsx'
import { axisUnit } from './axis-unit.ts'
import { BarRows } from './bar-rows.tsx'
import { isInRows } from './bars-in-rows.ts'
import { mapLayerOf, useChosenPoints } from './chart-selection.ts'

const WIDTH = 312
const HEIGHT = 148
const EDGE = { left: 46, right: 12, top: 12, bottom: 32 }

interface Props {
  readonly chart: Chart
  readonly choice: SeasonChoice
}

/** The answer's one chart, with the same figures as a table for those who do not see it. */
export function AnswerChart({ chart, choice }: Props) {
  const reading = useWindow(state => state.reading)
  const chosen = useChosenPoints(chart)
  const isLive = chart.points.some(point => mapLayerOf(point.selection) !== undefined)
  return (
    <section aria-label={chart.title}>
      <h2>{chart.title}</h2>
      {isInRows(chart) ? (
        <BarRows chart={chart} reading={reading} chosen={chosen} />
      ) : (
        <svg
          className="chart"
          viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
          role={isLive ? 'group' : undefined}
          aria-label={chart.title}
          aria-hidden={isLive ? undefined : true}
        >
          <ChartBody chart={chart} choice={choice} reading={reading} chosen={chosen} />
        </svg>
      )}
      <ChartTable chart={chart} reading={reading} />
      {chart.note.length > 0 && (
        <p className="chart-note">
          <PhraseText phrase={chart.note} />
        </p>
      )}
    </section>
  )
}

const spread = (point: ChartPoint): number[] =>
  [point.y, point.low, point.high].filter(value => value !== null && value !== undefined)

interface BodyProps extends Props {
  readonly reading: Reading
  /** Points that hold a selected feature. */
  readonly chosen: readonly boolean[]
}

function ChartBody({ chart, choice, reading, chosen }: BodyProps) {
  const values = chart.points.flatMap(spread).concat(chart.fit === null ? [] : [chart.fit.from[1], chart.fit.to[1]])
  const unit = axisUnit(chart.yKind, Math.max(0, ...values.map(Math.abs)), reading)
  const [low, high] = [Math.min(0, ...values) / unit.size, Math.max(0, ...values) / unit.size]
  const inUnits = scaleLinear([low, high === low ? low + 1 : high], [HEIGHT - EDGE.bottom, EDGE.top]).nice(4)
  const y = (value: number) => inUnits(value / unit.size)
  const xs = chart.points.map(point => point.x)
  const pad = chart.points.length > 1 ? (Math.max(...xs) - Math.min(...xs)) / (chart.points.length - 1) / 2 : 1
  const x = scaleLinear([Math.min(...xs) - pad, Math.max(...xs) + pad], [EDGE.left, WIDTH - EDGE.right])
  const slot = x(pad) - x(0)
  const number = new Intl.NumberFormat(reading.locale)
  const ticks = inUnits.ticks(4)
  return (
    <>
      {ticks.map((tick, i) => (
        <g key={tick}>
          <path className="chart-rule" d={`M${EDGE.left} ${inUnits(tick)}H${WIDTH - EDGE.right}`} />
          <text x={EDGE.left - 6} y={inUnits(tick) + 3.5} textAnchor="end">
            {number.format(tick)}
            {i === ticks.length - 1 && ` ${unit.name}`}
          </text>
        </g>
      ))}
      <path className="chart-axis" d={`M${EDGE.left} ${y(0)}H${WIDTH - EDGE.right}`} />
      {chart.fit !== null && (
        <path
          className="chart-fit"
          d={line()([chart.fit.from, chart.fit.to].map(([px, py]) => [x(px), y(py)])) ?? ''}
        />
      )}
      {chart.points.map((point, i) => (
        <PointGroup key={point.label} point={point} role={roleOf(point, choice)} isChosen={chosen[i] === true}>
          <rect
            className="chart-reach"
            x={x(point.x) - slot}
            y={EDGE.top}
            width={slot * 2}
            height={HEIGHT - EDGE.top}
          />
          {chart.kind === 'bars' ? (
            <Bar point={point} left={x(point.x) - slot * 0.62} width={slot * 1.24} y={y} choice={choice} />
          ) : (
            <Dot point={point} at={x(point.x)} y={y} />
          )}
          <SlotLabel words={point.label} at={x(point.x)} isTight={slot * 2 < point.label.length * 5.6} />
        </PointGroup>
      ))}
    </>
  )
}

interface PointProps {
  readonly point: ChartPoint
  readonly role: 'shown' | 'compared' | 'rest'
  readonly isChosen: boolean
  readonly children: ReactNode
}

/** A point with features behind it is a button that selects them; one with a selected feature is marked. */
function PointGroup({ point, role, isChosen, children }: PointProps) {
  const layer = mapLayerOf(point.selection)
  const className = `chart-point is-${role}${isChosen ? ' is-chosen' : ''}`
  if (layer === undefined) return <g className={className}>{children}</g>
  const ids = point.selection!.ids
  const select = () => void selectByIds(layer, ids, false)
  return (
    // biome-ignore lint/a11y/useSemanticElements: a button element cannot stand in a drawing
    <g
      className={`${className} is-live`}
      role="button"
      tabIndex={0}
      aria-pressed={isChosen}
      aria-label={`${point.label}: select ${ids.length} on the map`}
      onClick={select}
      onKeyDown={event => {
        if (event.key !== 'Enter' && event.key !== ' ') return
        event.preventDefault()
        select()
      }}
    >
      {children}
    </g>
  )
}

function roleOf(point: ChartPoint, choice: SeasonChoice): 'shown' | 'compared' | 'rest' {
  if (point.season === undefined) return 'rest'
  return point.season === choice.shown ? 'shown' : point.season === choice.compared ? 'compared' : 'rest'
}

type Scale = (value: number) => number

/** A label under its slot; one that is wider than the slot stands in two lines. */
function SlotLabel({ words, at, isTight }: { readonly words: string; readonly at: number; readonly isTight: boolean }) {
  // The comma and the space stay, so that what is read aloud is what stands there.
  const lines = isTight ? (/^(\S+ )(.+)$/.exec(words)?.slice(1) ?? [words]) : [words]
  return (
    <text className="chart-label" textAnchor="middle">
      {lines.map((part, i) => (
        <tspan key={part} x={at} y={HEIGHT - 18 + 11 * i}>
          {part}
        </tspan>
      ))}
    </text>
  )
}

function Dot({ point, at, y }: { readonly point: ChartPoint; readonly at: number; readonly y: Scale }) {
  if (point.y === null) return <path className="chart-absent" d={`M${at - 4} ${y(0)}h8`} />
  const hasRange = point.low != null && point.high != null
  return (
    <>
      {hasRange && (
        <path
          className="chart-range"
          d={`M${at} ${y(point.low!)}V${y(point.high!)} M${at - 3} ${y(point.low!)}h6 M${at - 3} ${y(point.high!)}h6`}
        />
      )}
      <circle cx={at} cy={y(point.y)} r={4.2} />
    </>
  )
}

interface BarProps {
  readonly point: ChartPoint
  readonly left: number
  readonly width: number
  readonly y: Scale
  readonly choice: SeasonChoice
}

function Bar({ point, left, width, y, choice }: BarProps) {
  if (point.y === null) return null
  const [top, base] = [Math.min(y(point.y), y(0)), Math.max(y(point.y), y(0))]
  const role = roleOf(point, choice)
  const hatch = role === 'shown' ? 'dots' : role === 'compared' ? 'diagonal' : 'none'
  const height = base - top
  return (
    <>
      <rect x={left} y={top} width={width} height={height} />
      {height > 4 && (
        <g transform={`translate(${left} ${top})`}>
          <HatchStrokes hatch={hatch} color="currentColor" width={width} height={height} />
        </g>
      )}
      {point.low != null && point.high != null && (
        <path className="chart-range" d={`M${left + width / 2} ${y(point.low)}V${y(point.high)}`} />
      )}
    </>
  )
}

function ChartTable({ chart, reading }: { readonly chart: Chart; readonly reading: Reading }) {
  return (
    <table className="visually-hidden">
      <caption>{chart.title}</caption>
      <tbody>
        {chart.points.map(point => (
          <tr key={point.label}>
            <th scope="row">{point.label}</th>
            <td>
              {formatQuantity(
                { kind: chart.yKind, value: point.y, low: point.low ?? null, high: point.high ?? null },
                reading,
              )}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
