import { CircleAlert, CircleDashed, History } from 'lucide-react'
import type { SpineEntry } from '../../core/desk-view.ts'
import { askQuestion } from '../state/desk-session.ts'
import { useWindow } from '../state/use-window.ts'
import { PhraseText } from '../widgets/figure-text.tsx'

/** The questions of the job with their live answers: alone it tells where things stand. */
export function Spine() {
  const entries = useWindow(state => state.view?.spine ?? state.overview?.spine)
  const question = useWindow(state => state.question)
  return (
    <nav className="spine" aria-label="Questions">
      <ol>
        {entries?.map((entry, i) => (
          <li key={entry.question}>
            <button
              type="button"
              className={`spine-entry is-${entry.state}`}
              aria-current={entry.question === question ? 'page' : undefined}
              onClick={() => askQuestion(entry.question)}
            >
              <span className="spine-number" aria-hidden="true">
                {i + 1}
              </span>
              <span className="spine-words">{entry.words}</span>
              <span className="spine-answer">
                {entry.answer.length === 0 ? (
                  <span className="soft">Not worked out yet</span>
                ) : (
                  <PhraseText phrase={entry.answer} />
                )}
              </span>
              <SpineState entry={entry} />
            </button>
          </li>
        ))}
      </ol>
    </nav>
  )
}

const STATE_WORDS = { waiting: 'waits for a run', fresh: '', stale: 'out of date', attention: 'needs a look' } as const

function SpineState({ entry }: { readonly entry: SpineEntry }) {
  if (entry.state === 'fresh' && entry.note === null) return null
  return (
    <span className="spine-state">
      {entry.state === 'attention' && <CircleAlert size={13} aria-hidden="true" />}
      {entry.state === 'stale' && <History size={13} aria-hidden="true" />}
      {entry.state === 'waiting' && <CircleDashed size={13} aria-hidden="true" />}
      {entry.note ?? STATE_WORDS[entry.state]}
    </span>
  )
}
