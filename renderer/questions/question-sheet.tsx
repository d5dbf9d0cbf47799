import { useWindow } from '../state/use-window.ts'
import { PhraseText } from '../widgets/figure-text.tsx'
import { AnswerChart } from './answer-chart.tsx'
import { FigureList } from './figure-list.tsx'
import { NextSteps } from './next-steps.tsx'
import { PhraseList } from './phrase-list.tsx'
import { SettingList } from './setting-list.tsx'
import { SheetList } from './sheet-list.tsx'

/** One question answered: the sentence, what it rests on, its figures, one chart, what to do next, how it was worked out. */
export function QuestionSheet() {
  const view = useWindow(state => state.view)
  const words = useWindow(state => state.overview?.spine.find(entry => entry.question === state.view?.question)?.words)
  if (view === null) return <aside className="sheet" aria-label="Answer" />
  const { answer } = view
  return (
    <aside className="sheet" aria-label="Answer" key={view.question}>
      <p className="sheet-question">{words}</p>
      <h1 className="sheet-answer">
        <PhraseText phrase={answer.headline} />
      </h1>
      {answer.footing.length > 0 && (
        <p className="sheet-footing">
          <PhraseText phrase={answer.footing} />
        </p>
      )}
      {view.question === 'sheets' && <SheetList />}
      <FigureList figures={answer.figures} />
      {answer.chart !== null && <AnswerChart chart={answer.chart} choice={view.choice} />}
      <PhraseList title="Refused" phrases={answer.refused ?? []} />
      <PhraseList title="Cannot be concluded" phrases={answer.cannotConclude} />
      <NextSteps steps={view.next} />
      <SettingList settings={view.settings} />
      <Warnings />
    </aside>
  )
}

function Warnings() {
  const warnings = useWindow(state => state.overview?.warnings)
  const question = useWindow(state => state.question)
  if (question !== 'gather' || warnings === undefined || warnings.length === 0) return null
  return (
    <details className="settings">
      <summary>What was set aside or repaired ({warnings.length})</summary>
      <ul className="plain-list">
        {warnings.map(warning => (
          <li key={`${warning.code} ${warning.message}`}>{warning.message}</li>
        ))}
      </ul>
    </details>
  )
}
