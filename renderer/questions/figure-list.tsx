import { useId, useState } from 'react'
import type { Figure, Why } from '../../core/model/index.ts'
import { selectByIds } from '../state/selecting.ts'
import { QuantityText } from '../widgets/figure-text.tsx'
import { mapLayerOf } from './chart-selection.ts'

/** More would push the chart and what to do next out of sight. */
const MOST_SHOWN = 7

/** The figures; an underlined one opens what stands behind it and selects that on the map. */
export function FigureList({ figures }: { readonly figures: readonly Figure[] }) {
  const [isWhole, setWhole] = useState(false)
  if (figures.length === 0) return null
  const isLong = figures.length > MOST_SHOWN + 1
  const shown = isLong && !isWhole ? figures.slice(0, MOST_SHOWN) : figures
  return (
    <section aria-label="Figures">
      <h2>Figures</h2>
      <ul className="figures">
        {shown.map(figure => (
          <FigureRow key={figure.id} figure={figure} />
        ))}
      </ul>
      {isLong && (
        <button type="button" className="link figures-more" aria-expanded={isWhole} onClick={() => setWhole(!isWhole)}>
          {isWhole ? 'Fewer figures' : `${figures.length - MOST_SHOWN} more figures`}
        </button>
      )}
    </section>
  )
}

function FigureRow({ figure }: { readonly figure: Figure }) {
  const [isOpen, setOpen] = useState(false)
  const id = useId()
  const { why } = figure
  if (why === undefined)
    return (
      <li className="figure-row">
        <span>{figure.label}</span>
        <QuantityText quantity={figure.quantity} />
      </li>
    )
  const turn = () => {
    setOpen(!isOpen)
    if (!isOpen) void selectBehind(why)
  }
  return (
    <li>
      <button type="button" className="figure-row has-why" aria-expanded={isOpen} aria-controls={id} onClick={turn}>
        <span className="figure-label">{figure.label}</span>
        <QuantityText quantity={figure.quantity} />
      </button>
      {isOpen && <WhyNote id={id} why={why} />}
    </li>
  )
}

async function selectBehind(why: Why): Promise<void> {
  const layer = mapLayerOf(why.selection)
  if (layer !== undefined) await selectByIds(layer, why.selection!.ids)
}

function WhyNote({ id, why }: { readonly id: string; readonly why: Why }) {
  const layer = mapLayerOf(why.selection)
  return (
    <div className="why" id={id}>
      <p>{why.formula}</p>
      {why.settings.length > 0 && (
        <ul className="why-settings">
          {why.settings.map(setting => (
            <li key={setting.label}>
              {setting.label} <QuantityText quantity={setting.quantity} />
            </li>
          ))}
        </ul>
      )}
      {layer !== undefined && (
        <button type="button" className="link" onClick={() => void selectBehind(why)}>
          Select {why.selection!.ids.length} on the map
        </button>
      )}
    </div>
  )
}
