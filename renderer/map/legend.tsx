import { ChevronDown, ChevronUp, Eye, EyeClosed, EyeOff } from 'lucide-react'
import { useState } from 'react'
import type { LegendRow } from '../../core/desk-view.ts'
import { useWindow } from '../state/use-window.ts'
import { type RowState, windowStore } from '../state/window-state.ts'
import { Swatch } from '../theme/swatch.tsx'
import { NEXT_STATE, rowKey, rowState } from './legend-state.ts'

const STATE_WORDS: Readonly<Record<RowState, string>> = { show: 'shown', dim: 'dimmed', hide: 'hidden' }
const ACT_WORDS: Readonly<Record<RowState, string>> = { show: 'show', dim: 'dim', hide: 'hide' }

/** What is drawn, row by row; each row is the switch of its own symbol. */
export function Legend() {
  const legend = useWindow(state => state.view?.legend)
  const rows = useWindow(state => state.rows)
  const [isOpen, setOpen] = useState(true)
  if (legend === undefined || legend.length === 0) return null
  return (
    <section className="legend" aria-label="Legend">
      <button type="button" className="legend-head" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
        <span>Legend</span>
        {isOpen ? <ChevronDown size={13} aria-hidden="true" /> : <ChevronUp size={13} aria-hidden="true" />}
      </button>
      <ul hidden={!isOpen}>
        {legend.map(row => (
          <LegendSwitch key={row.id} row={row} state={rowState(row, rows)} />
        ))}
      </ul>
    </section>
  )
}

function LegendSwitch({ row, state }: { readonly row: LegendRow; readonly state: RowState }) {
  const next = NEXT_STATE[state]
  const turn = () => windowStore.set({ rows: { ...windowStore.get().rows, [rowKey(row)]: next } })
  return (
    <li>
      <button type="button" className={`legend-row is-${state}`} onClick={turn} title={`Click to ${ACT_WORDS[next]}`}>
        <Swatch symbol={row.symbol} layer={row.layer} />
        <span className="legend-label">{row.label}</span>
        <span className="visually-hidden">: {STATE_WORDS[state]}</span>
        <StateMark state={state} />
      </button>
    </li>
  )
}

function StateMark({ state }: { readonly state: RowState }) {
  if (state === 'show') return <Eye size={13} aria-hidden="true" />
  return state === 'dim' ? <EyeClosed size={13} aria-hidden="true" /> : <EyeOff size={13} aria-hidden="true" />
}
