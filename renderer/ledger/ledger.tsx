import { X } from 'lucide-react'
import { useMemo, useState } from 'react'
import { type LedgerTable, MAP_LAYERS, type MapLayerId } from '../../core/desk-view.ts'
import { LAYER_WORDS } from '../map/layer-words.ts'
import { closeLedger, openLedger } from '../state/selecting.ts'
import { useWindow } from '../state/use-window.ts'
import { IconButton } from '../widgets/icon-button.tsx'
import { LedgerGrid } from './ledger-grid.tsx'
import { orderRows, type Sort } from './order-rows.ts'

/** The table of one layer under the map; what is selected there is selected on the map. */
export function Ledger() {
  const ledger = useWindow(state => state.ledger)
  return ledger === null ? null : <OpenLedger key={ledger.layer} ledger={ledger} />
}

function OpenLedger({ ledger }: { readonly ledger: LedgerTable }) {
  const layers = useWindow(state => state.map.layers)
  const [sort, setSort] = useState<Sort | null>(null)
  const [isSelectedOnly, setSelectedOnly] = useState(false)
  const selection = useWindow(state => state.selection)
  const chosen = useMemo(
    () => new Set(selection?.layer === ledger.layer ? selection.fids : []),
    [selection, ledger.layer],
  )
  const order = useMemo(() => orderRows(ledger, sort), [ledger, sort])
  const isNarrowed = isSelectedOnly && chosen.size > 0
  const rows = useMemo(
    () => (isNarrowed ? order.filter(row => chosen.has(ledger.fids[row]!)) : order),
    [order, isNarrowed, chosen, ledger],
  )
  const present = MAP_LAYERS.filter(id => layers.some(layer => layer.id === id && layer.features > 0))
  return (
    <section className="ledger" aria-label="Table">
      <header>
        <label>
          <span className="visually-hidden">Layer of the table</span>
          <select value={ledger.layer} onChange={event => void openLedger(event.target.value as MapLayerId)}>
            {present.map(id => (
              <option key={id} value={id}>
                {LAYER_WORDS[id]}
              </option>
            ))}
          </select>
        </label>
        <span className="soft">{ledger.title}</span>
        <span className="ledger-count figure">
          {rows.length} {rows.length === 1 ? 'row' : 'rows'}
          {chosen.size > 0 && `, ${chosen.size} selected`}
        </span>
        <label className="ledger-narrow">
          <input
            type="checkbox"
            checked={isSelectedOnly}
            disabled={chosen.size === 0}
            onChange={event => setSelectedOnly(event.target.checked)}
          />
          Selected only
        </label>
        <IconButton label="Close the table" onPress={closeLedger}>
          <X size={15} />
        </IconButton>
      </header>
      <LedgerGrid ledger={ledger} rows={rows} sort={sort} chosen={chosen} onSort={setSort} />
    </section>
  )
}
