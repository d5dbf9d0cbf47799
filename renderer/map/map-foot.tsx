import { useState } from 'react'
import { METRES_PER_FOOT, METRES_PER_MILE } from '../../core/model/index.ts'
import { formatPlace, NOTATIONS, type Notation } from './coordinates.ts'
import type { PointerPlace } from './map-controller.ts'
import { type MapWindow, roundLengthBelow } from './map-window.ts'

const NOTATION_WORDS: Readonly<Record<Notation, string>> = {
  decimal: 'decimal degrees',
  dms: 'degrees, minutes, seconds',
  utm: 'UTM, WGS 84',
  usng: 'USNG, WGS 84',
}

interface Props {
  readonly place: PointerPlace | null
  readonly window: MapWindow | null
}

/** Under the map: where the pointer is, and how long things are, in both units. */
export function MapFoot({ place, window: shown }: Props) {
  const [notation, setNotation] = useState<Notation>('decimal')
  const next = NOTATIONS[(NOTATIONS.indexOf(notation) + 1) % NOTATIONS.length]!
  const words = place === null ? '–' : formatPlace([place.longitude, place.latitude], notation)
  return (
    <div className="map-foot">
      <button
        type="button"
        className="readout"
        onClick={() => setNotation(next)}
        title={`Show in ${NOTATION_WORDS[next]}`}
      >
        <span className="figure">{words}</span>
        <span className="soft">{NOTATION_WORDS[notation]}</span>
      </button>
      {shown !== null && <ScaleBar metresPerPixel={shown.metresPerPixel} />}
    </div>
  )
}

const LONGEST = 110

function ScaleBar({ metresPerPixel }: { readonly metresPerPixel: number }) {
  const limit = LONGEST * metresPerPixel
  const metres = roundLengthBelow(limit)
  const isMiles = limit >= METRES_PER_MILE
  const unit = isMiles ? METRES_PER_MILE : METRES_PER_FOOT
  const imperial = roundLengthBelow(limit / unit)
  const [a, b] = [metres / metresPerPixel, (imperial * unit) / metresPerPixel]
  const metric = metres >= 1000 ? `${metres / 1000} km` : `${metres} m`
  const other = `${imperial} ${isMiles ? 'mi' : 'ft'}`
  return (
    <svg
      className="scale-bar"
      width={Math.max(a, b) + 46}
      height={30}
      role="img"
      aria-label={`Scale: ${metric}, ${other}`}
    >
      <path d={`M0.5 8V14.5H${a}V8 M${a / 2} 11v3.5`} />
      <path d={`M0.5 21V14.5H${b}V21`} />
      <text x={a + 5} y={13}>
        {metric}
      </text>
      <text x={b + 5} y={24}>
        {other}
      </text>
    </svg>
  )
}
