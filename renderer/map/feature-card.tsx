import { Table2, X } from 'lucide-react'
import { formatPhrase } from '../../core/model/index.ts'
import { openLedger, selectFeatures } from '../state/selecting.ts'
import { useWindow } from '../state/use-window.ts'
import { type Selection, windowStore } from '../state/window-state.ts'
import { PhraseText, QuantityText } from '../widgets/figure-text.tsx'
import { IconButton } from '../widgets/icon-button.tsx'
import { LAYER_WORDS } from './layer-words.ts'

/** What stands behind the one selected feature, or how many are selected. */
export function FeatureCardPanel() {
  const card = useWindow(state => state.card)
  const selection = useWindow(state => state.selection)
  const reading = useWindow(state => state.reading)
  const boxed = useWindow(state => state.boxed)
  if (selection === null) return null
  if (card === null)
    return selection.fids.length > 1 || boxed !== null ? (
      <aside className="card card-count" aria-label="Selection">
        <span>
          {LAYER_WORDS[selection.layer]}: <span className="figure">{selection.fids.length}</span> selected
        </span>
        <CardTools layer={selection.layer} />
        {boxed !== null && boxed.length > 1 && <BoxedLayers boxed={boxed} selection={selection} />}
      </aside>
    ) : null
  return (
    <aside className="card" aria-label={`About ${card.title}`}>
      <header>
        <h3>{card.title}</h3>
        <CardTools layer={card.layer} />
      </header>
      <dl>
        {card.rows.map(row => (
          <div key={row.label}>
            <dt>{row.label}</dt>
            <dd>
              <QuantityText quantity={row.quantity} />
            </dd>
          </div>
        ))}
      </dl>
      {card.why.map(phrase => (
        <p key={formatPhrase(phrase, reading)}>
          <PhraseText phrase={phrase} />
        </p>
      ))}
    </aside>
  )
}

/** What else the box met: one press selects that instead. */
function BoxedLayers({ boxed, selection }: { readonly boxed: readonly Selection[]; readonly selection: Selection }) {
  return (
    <ul className="card-boxed" aria-label="Also in the box">
      {boxed.map(one => (
        <li key={one.layer}>
          <button type="button" aria-pressed={one.layer === selection.layer} onClick={() => void selectFeatures(one)}>
            {LAYER_WORDS[one.layer]} <span className="figure">{one.fids.length}</span>
          </button>
        </li>
      ))}
    </ul>
  )
}

function CardTools({ layer }: { readonly layer: Parameters<typeof openLedger>[0] }) {
  return (
    <span className="card-tools">
      <IconButton label="Show in the table" onPress={() => void openLedger(layer)}>
        <Table2 size={15} />
      </IconButton>
      <IconButton
        label="Select nothing"
        onPress={() => {
          void selectFeatures(null)
          windowStore.set({ hovered: null })
        }}
      >
        <X size={15} />
      </IconButton>
    </span>
  )
}
