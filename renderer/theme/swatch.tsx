import type { MapLayerId } from '../../core/desk-view.ts'
import type { Hatch } from '../../core/model/index.ts'
import { outlierPath } from '../map/outlier-sign.ts'

interface Look {
  readonly kind: 'area' | 'line' | 'dot' | 'sign'
  readonly token: string
  readonly hatch?: Hatch
  readonly width?: number
  readonly dash?: string
  readonly fill?: string
}

/** How a legend symbol looks in a small box; the same tokens and hatches as on the map. */
const LOOKS: Readonly<Record<string, Look>> = {
  'patch-shown': { kind: 'area', token: 'shown', hatch: 'dots', dash: '4 2' },
  'patch-compared': { kind: 'area', token: 'compared', hatch: 'diagonal' },
  searched: { kind: 'area', token: 'searched', hatch: 'level' },
  parcel: { kind: 'area', token: 'parcel', hatch: 'none' },
  'parcel-infested': { kind: 'area', token: 'parcel-mark', hatch: 'cross' },
  'parcel-near': { kind: 'area', token: 'parcel-mark', hatch: 'level' },
  'parcel-downstream': { kind: 'area', token: 'parcel-mark', hatch: 'upright' },
  flood: { kind: 'area', token: 'water-soft', hatch: 'none', fill: 'flood', dash: '1 2' },
  boundary: { kind: 'line', token: 'ink', width: 1.4, dash: '8 2 1.5 2' },
  'patch-outlier': { kind: 'sign', token: 'shown' },
  'patch-far': { kind: 'sign', token: 'shown', dash: '3.4 2.2' },
  reference: { kind: 'line', token: 'road', width: 3 },
  'reference-second': { kind: 'line', token: 'road', width: 2.4, dash: '7 2.5' },
  'reference-third': { kind: 'line', token: 'road', width: 2.4, dash: '2.4 3' },
  carrier: { kind: 'line', token: 'ink-soft', width: 1.6, dash: '4 2' },
  reach: { kind: 'line', token: 'water', width: 2 },
  'reach-problem': { kind: 'line', token: 'compared', width: 3, dash: '2 3' },
  'look-first': { kind: 'line', token: 'look', width: 6 },
  'look-next': { kind: 'line', token: 'look', width: 4, dash: '9 3' },
  'look-low': { kind: 'line', token: 'look', width: 2.2, dash: '1.5 3' },
  'flood-first': { kind: 'line', token: 'flood-look', width: 6 },
  'flood-next': { kind: 'line', token: 'flood-look', width: 4, dash: '9 3' },
  'flood-low': { kind: 'line', token: 'flood-look', width: 2.2, dash: '1.5 3' },
  find: { kind: 'dot', token: 'ink', fill: 'ink' },
  'find-single': { kind: 'dot', token: 'shown', fill: 'shown', width: 4.5 },
  'find-imprecise': { kind: 'dot', token: 'ink-soft', width: 5 },
  'find-held': { kind: 'dot', token: 'compared', width: 3.5 },
  clear: { kind: 'dot', token: 'searched', width: 3.5 },
  arrow: { kind: 'line', token: 'ink', width: 1.7 },
}

const BY_LAYER: Readonly<Record<MapLayerId, Look>> = {
  parcels: LOOKS.parcel!,
  boundary: LOOKS.boundary!,
  flood: LOOKS.flood!,
  searched: LOOKS.searched!,
  reference: LOOKS.reference!,
  carriers: LOOKS.carrier!,
  reaches: LOOKS.reach!,
  patches: LOOKS['patch-shown']!,
  finds: LOOKS.find!,
  clear: LOOKS.clear!,
  arrows: LOOKS.arrow!,
}

const WIDTH = 28
const HEIGHT = 14

export function Swatch({ symbol, layer }: { readonly symbol: string; readonly layer: MapLayerId }) {
  const look = LOOKS[symbol] ?? BY_LAYER[layer]
  const stroke = `var(--${look.token})`
  return (
    <svg className="swatch" width={WIDTH} height={HEIGHT} viewBox={`0 0 ${WIDTH} ${HEIGHT}`} aria-hidden="true">
      {look.kind === 'area' && <AreaSwatch look={look} stroke={stroke} />}
      {look.kind === 'line' && (
        <>
          <path
            d={`M1 ${HEIGHT / 2}H${WIDTH - 1}`}
            stroke={stroke}
            strokeWidth={look.width}
            strokeDasharray={look.dash}
          />
          {layer === 'arrows' && <path d={`M${WIDTH} ${HEIGHT / 2}l-9-4.5 2 4.5-2 4.5Z`} fill={stroke} />}
        </>
      )}
      {look.kind === 'sign' && (
        <path
          d={outlierPath(WIDTH / 2, HEIGHT / 2, HEIGHT / 2 - 1)}
          fill="none"
          stroke={stroke}
          strokeWidth={1.8}
          strokeDasharray={look.dash}
        />
      )}
      {look.kind === 'dot' && (
        <circle
          cx={WIDTH / 2}
          cy={HEIGHT / 2}
          r={look.width ?? 3}
          fill={look.fill === undefined ? 'none' : `var(--${look.fill})`}
          stroke={stroke}
          strokeWidth={1.3}
        />
      )}
    </svg>
  )
}

function AreaSwatch({ look, stroke }: { readonly look: Look; readonly stroke: string }) {
  return (
    <>
      <rect
        x={0.75}
        y={0.75}
        width={WIDTH - 1.5}
        height={HEIGHT - 1.5}
        fill={look.fill === undefined ? 'none' : `var(--${look.fill})`}
        stroke={stroke}
        strokeWidth={1.4}
        strokeDasharray={look.dash}
      />
      <HatchStrokes hatch={look.hatch ?? 'none'} color={stroke} width={WIDTH} height={HEIGHT} />
    </>
  )
}

/** A hatch drawn stroke by stroke in a box; for swatches, bands and bars. */
export function HatchStrokes(props: { hatch: Hatch; color: string; width: number; height: number }) {
  const { hatch, color, width, height } = props
  const d = hatchPath(hatch, width, height)
  if (d === '') return null
  return hatch === 'dots' ? (
    <path d={d} stroke={color} strokeWidth={1.9} strokeLinecap="round" fill="none" />
  ) : (
    <path d={d} stroke={color} strokeWidth={1} fill="none" />
  )
}

function hatchPath(hatch: Hatch, width: number, height: number): string {
  const strokes: string[] = []
  const step = 5
  if (hatch === 'dots')
    for (let y = 3, row = 0; y < height - 1; y += 3.7, row++)
      for (let x = row % 2 === 0 ? 4 : 6.5; x < width - 2; x += step) strokes.push(`M${x} ${y}h0.01`)
  if (hatch === 'level') for (let y = 3.5; y < height - 1; y += 3.5) strokes.push(`M1 ${y}H${width - 1}`)
  if (hatch === 'upright') for (let x = 4; x < width - 1; x += step - 1) strokes.push(`M${x} 1V${height - 1}`)
  if (hatch === 'diagonal' || hatch === 'cross') strokes.push(...slanted(width, height, step, false))
  if (hatch === 'cross') strokes.push(...slanted(width, height, step, true))
  return strokes.join('')
}

/** Slanted strokes cut at the box's edges. */
function slanted(width: number, height: number, step: number, isMirrored: boolean): string[] {
  const strokes: string[] = []
  for (let start = step; start < width + height; start += step) {
    const [x0, y0] = start <= height ? [0, start] : [start - height, height]
    const [x1, y1] = start <= width ? [start, 0] : [width, start - width]
    strokes.push(isMirrored ? `M${width - x0} ${y0}L${width - x1} ${y1}` : `M${x0} ${y0}L${x1} ${y1}`)
  }
  return strokes
}
