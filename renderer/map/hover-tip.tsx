import { useEffect, useMemo, useState } from 'react'
import type { FeatureCard, FeatureShape } from '../../core/desk-view.ts'
import { desk } from '../state/desk-session.ts'
import { useWindow } from '../state/use-window.ts'
import { QuantityText } from '../widgets/figure-text.tsx'
import type { PointerPlace } from './map-controller.ts'
import type { MapWindow } from './map-window.ts'

const ROWS_SHOWN = 3

/** An outline of what the pointer is over and a few words beside it; the click opens the rest. */
export function HoverTip({ place, window }: { readonly place: PointerPlace | null; readonly window: MapWindow }) {
  const hovered = useWindow(state => state.hovered)
  const opened = useWindow(state => state.card)
  const choice = useWindow(state => state.choice)
  const [card, setCard] = useState<FeatureCard | null>(null)
  useEffect(() => {
    if (hovered === null) return setCard(null)
    let isLate = false
    desk()
      .call('feature', hovered.layer, hovered.fid, choice)
      .then(found => isLate || setCard(found))
      // A tile may still show a feature that the next run has taken away.
      .catch(() => isLate || setCard(null))
    return () => {
      isLate = true
    }
  }, [hovered, choice])
  if (card === null || place === null || hovered === null) return null
  // Its card stands open already.
  if (opened?.layer === hovered.layer && opened.fid === hovered.fid) return null
  return (
    <>
      {card.shape !== null && <HoverOutline shape={card.shape} window={window} />}
      <div className="hover-tip" style={{ transform: `translate(${place.x + 16}px, ${place.y + 16}px)` }}>
        <strong>{card.title}</strong>
        {card.rows.slice(0, ROWS_SHOWN).map(row => (
          <span key={row.label}>
            {row.label} <QuantityText quantity={row.quantity} />
          </span>
        ))}
      </div>
    </>
  )
}

/** Ring round a place, pixels. */
const PLACE_RING = 8

function HoverOutline({ shape, window }: { readonly shape: FeatureShape; readonly window: MapWindow }) {
  const outline = useMemo(() => outlinePath(shape, window.project), [shape, window])
  return (
    <svg className="hover-outline" width={window.width} height={window.height} aria-hidden="true">
      <path className="hover-halo" d={outline} />
      <path d={outline} />
    </svg>
  )
}

function outlinePath({ isPoint, paths }: FeatureShape, project: MapWindow['project']): string {
  return paths
    .map(path => {
      const at = (i: number) => project(path[i]!, path[i + 1]!).map(value => value.toFixed(1))
      if (isPoint) {
        const [x, y] = project(path[0]!, path[1]!)
        return `M${x - PLACE_RING} ${y}a${PLACE_RING} ${PLACE_RING} 0 1 0 ${2 * PLACE_RING} 0a${PLACE_RING} ${PLACE_RING} 0 1 0 ${-2 * PLACE_RING} 0`
      }
      const steps: string[] = []
      for (let i = 0; i < path.length; i += 2) steps.push(at(i).join(' '))
      return `M${steps.join('L')}`
    })
    .join('')
}
