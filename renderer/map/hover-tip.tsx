import { useEffect, useState } from 'react'
import type { FeatureCard } from '../../core/desk-view.ts'
import { desk } from '../state/desk-session.ts'
import { useWindow } from '../state/use-window.ts'
import { QuantityText } from '../widgets/figure-text.tsx'
import type { PointerPlace } from './map-controller.ts'

const ROWS_SHOWN = 3

/** A few words beside the pointer about what it is over; the click opens the rest. */
export function HoverTip({ place }: { readonly place: PointerPlace | null }) {
  const hovered = useWindow(state => state.hovered)
  const [card, setCard] = useState<FeatureCard | null>(null)
  useEffect(() => {
    if (hovered === null) return setCard(null)
    let isLate = false
    desk()
      .call('feature', hovered.layer, hovered.fid)
      .then(found => isLate || setCard(found))
      // A tile may still show a feature that the next run has taken away.
      .catch(() => isLate || setCard(null))
    return () => {
      isLate = true
    }
  }, [hovered])
  if (card === null || place === null || hovered === null) return null
  return (
    <div className="hover-tip" style={{ transform: `translate(${place.x + 16}px, ${place.y + 16}px)` }}>
      <strong>{card.title}</strong>
      {card.rows.slice(0, ROWS_SHOWN).map(row => (
        <span key={row.label}>
          {row.label} <QuantityText quantity={row.quantity} />
        </span>
      ))}
    </div>
  )
}
