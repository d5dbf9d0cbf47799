import { formatPhrase, type Phrase } from '../../core/model/index.ts'
import { useWindow } from '../state/use-window.ts'
import { PhraseText } from '../widgets/figure-text.tsx'

/** Rows beyond this many stand behind a press. */
const SHOWN = 8

/** Sentences under a heading; nothing where there are none. */
export function PhraseList({ title, phrases }: { readonly title: string; readonly phrases: readonly Phrase[] }) {
  const reading = useWindow(state => state.reading)
  if (phrases.length === 0) return null
  const rows = phrases.map(phrase => (
    <li key={formatPhrase(phrase, reading)}>
      <PhraseText phrase={phrase} />
    </li>
  ))
  return (
    <section className="cannot" aria-label={title}>
      <h2>{title}</h2>
      <ul>{rows.slice(0, SHOWN)}</ul>
      {rows.length > SHOWN && (
        <details>
          <summary>{rows.length - SHOWN} more</summary>
          <ul>{rows.slice(SHOWN)}</ul>
        </details>
      )}
    </section>
  )
}
