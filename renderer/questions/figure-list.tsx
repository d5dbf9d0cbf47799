import { useId, useState } from 'react'
import { MAP_LAYERS, type MapLayerId } from '../../core/desk-view.ts'
import type { Figure, Why } from '../../core/model/index.ts'
import { selectByIds } from '../state/selecting.ts'
import { QuantityText } from '../widgets/figure-text.tsx'

/** The figures; an underlined one opens what stands behind it and selects that on the map. */
export function FigureList({ figures }: { readonly figures: readonly Figure[] }) {
  if (figures.length === 0) return null
  return (
    <section aria-label="Figures">
      <h2>Figures</h2>
      <ul className="figures">
        {figures.map(figure => (
          <FigureRow key={figure.id} figure={figure} />
        ))}
      </ul>
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

const mapLayerOf = (why: Why): MapLayerId | undefined => MAP_LAYERS.find(layer => layer === why.selection?.layer)

async function selectBehind(why: Why): Promise<void> {
  const layer = mapLayerOf(why)
  if (layer !== undefined && why.selection!.ids.length > 0) await selectByIds(layer, why.selection!.ids)
}

function WhyNote({ id, why }: { readonly id: string; readonly why: Why }) {
  const layer = mapLayerOf(why)
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
      {layer !== undefined && why.selection!.ids.length > 0 && (
        <button type="button" className="link" onClick={() => void selectBehind(why)}>
          Select {why.selection!.ids.length} on the map
        </button>
      )}
    </div>
  )
}
