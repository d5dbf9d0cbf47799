import type { MapWindow } from './map-window.ts'

const BAND = 15
const LEAST_SPACING = 150
/** Steps of the border's ticks in seconds of arc: all divide a degree evenly. */
const STEPS = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 18_000, 36_000]

interface Tick {
  readonly at: number
  readonly label: string
}

/** The border of a printed map: coordinate ticks in degrees and minutes along its four sides. */
export function MapFrame({ window: shown }: { readonly window: MapWindow }) {
  const { width, height } = shown
  const x = ticks(shown.west, shown.east, width, 'EW').map(({ value, label }) => ({
    at: shown.project(value, shown.north)[0],
    label,
  }))
  const y = ticks(shown.south, shown.north, height, 'NS').map(({ value, label }) => ({
    at: shown.project(shown.west, value)[1],
    label,
  }))
  const isClear = (limit: number) => (tick: Tick) => tick.at > 46 && tick.at < limit - 46
  return (
    <svg className="map-frame" width={width} height={height} aria-hidden="true">
      <path
        className="map-frame-band"
        fillRule="evenodd"
        d={`M0 0H${width}V${height}H0Z M${BAND} ${BAND}V${height - BAND}H${width - BAND}V${BAND}Z`}
      />
      <rect className="map-frame-line" x={BAND} y={BAND} width={width - 2 * BAND} height={height - 2 * BAND} />
      {x.filter(isClear(width)).map(tick => (
        <g key={tick.label}>
          <path d={`M${tick.at} ${BAND - 4}v10 M${tick.at} ${height - BAND + 4}v-10`} />
          <text x={tick.at + 3} y={11}>
            {tick.label}
          </text>
        </g>
      ))}
      {y.filter(isClear(height)).map(tick => (
        <g key={tick.label}>
          <path d={`M${BAND - 4} ${tick.at}h10 M${width - BAND + 4} ${tick.at}h-10`} />
          <text transform={`translate(11 ${tick.at - 3}) rotate(-90)`}>{tick.label}</text>
        </g>
      ))}
    </svg>
  )
}

function ticks(low: number, high: number, pixels: number, sides: 'EW' | 'NS') {
  const least = ((high - low) * 3600 * LEAST_SPACING) / Math.max(1, pixels)
  const step = STEPS.find(candidate => candidate >= least) ?? 36_000
  const first = Math.ceil((low * 3600) / step)
  const last = Math.floor((high * 3600) / step)
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => {
    const seconds = (first + i) * step
    return { value: seconds / 3600, label: tickLabel(seconds, sides) }
  })
}

function tickLabel(seconds: number, sides: 'EW' | 'NS'): string {
  const size = Math.abs(seconds)
  const [degrees, minutes, rest] = [Math.floor(size / 3600), Math.floor(size / 60) % 60, size % 60]
  const fine = rest === 0 ? '' : ` ${String(rest).padStart(2, '0')}″`
  return `${degrees}° ${String(minutes).padStart(2, '0')}′${fine} ${seconds < 0 ? sides[1] : sides[0]}`
}
