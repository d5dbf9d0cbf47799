import { GitCompareArrows } from 'lucide-react'
import type { KeyboardEvent, MouseEvent } from 'react'
import type { SeasonBand } from '../../core/desk-view.ts'
import { compareSeason, showSeason } from '../state/desk-session.ts'
import { useWindow } from '../state/use-window.ts'
import { SeasonWeeks } from './season-weeks.tsx'

/** Seasons side by side: click one to show it, shift-click or its second button to compare with it. */
export function SeasonStrip() {
  const overview = useWindow(state => state.overview)
  const choice = useWindow(state => state.choice)
  const bands = overview?.seasons ?? []
  const tallest = Math.max(1, ...bands.flatMap(band => band.weeks.map(week => Math.max(week.found, week.clear))))
  return (
    <section className="seasons" aria-label="Seasons">
      <header>
        <h2>Seasons</h2>
        <p>Reports a week: found above the line, looked and not found below. The bracket is when leaves can be seen.</p>
      </header>
      <fieldset className="season-bands" onKeyDown={moveByKey}>
        <legend className="visually-hidden">Season to show and season to compare with</legend>
        {bands.map(band => (
          <Band
            key={band.season}
            band={band}
            tallest={tallest}
            role={band.season === choice.shown ? 'shown' : band.season === choice.compared ? 'compared' : 'rest'}
          />
        ))}
      </fieldset>
    </section>
  )
}

interface BandProps {
  readonly band: SeasonBand
  readonly tallest: number
  readonly role: 'shown' | 'compared' | 'rest'
}

function Band({ band, tallest, role }: BandProps) {
  const choose = (event: MouseEvent) => void (event.shiftKey ? compareSeason(band.season) : showSeason(band.season))
  const found = band.weeks.reduce((sum, week) => sum + week.found, 0)
  return (
    <div className={`season-band is-${role}`}>
      <button
        type="button"
        className="season-pick"
        aria-pressed={role === 'shown'}
        onClick={choose}
        data-season={band.season}
      >
        <SeasonWeeks band={band} tallest={tallest} role={role} />
        <span className="season-name">
          {band.season}
          <span className="soft"> {role === 'rest' ? `${found} found` : role}</span>
        </span>
      </button>
      <button
        type="button"
        className="season-compare"
        aria-pressed={role === 'compared'}
        disabled={role === 'shown'}
        aria-label={role === 'compared' ? `Stop comparing with ${band.season}` : `Compare with ${band.season}`}
        title={role === 'compared' ? 'Stop comparing' : 'Compare with this season'}
        onClick={() => compareSeason(band.season)}
      >
        <GitCompareArrows size={13} aria-hidden="true" />
      </button>
    </div>
  )
}

/** Left and right go from season to season, as in a list. */
function moveByKey(event: KeyboardEvent<HTMLFieldSetElement>): void {
  const step = event.key === 'ArrowRight' ? 1 : event.key === 'ArrowLeft' ? -1 : 0
  if (step === 0) return
  const picks = [...event.currentTarget.querySelectorAll<HTMLButtonElement>('.season-pick')]
  const at = picks.findIndex(pick => pick.parentElement?.contains(document.activeElement))
  const next = picks[at + step]
  if (next === undefined) return
  event.preventDefault()
  next.focus()
}
