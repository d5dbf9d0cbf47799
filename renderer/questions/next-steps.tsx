import { ArrowRight, FileText, MapPin } from 'lucide-react'
import { Button } from 'react-aria-components'
import type { QuestionView } from '../../core/desk-view.ts'
import { askQuestion } from '../state/desk-session.ts'
import { saveSheet } from '../state/saving.ts'
import { selectByIds } from '../state/selecting.ts'

type Step = QuestionView['next'][number]

function take(step: Step): void {
  if (step.select !== undefined) void selectByIds(step.select.layer, step.select.ids)
  if (step.question !== undefined) askQuestion(step.question)
  else if (step.sheet !== undefined) void saveSheet(step.sheet)
}

/** What to do with the answer. */
export function NextSteps({ steps }: { readonly steps: readonly Step[] }) {
  if (steps.length === 0) return null
  return (
    <section aria-label="Next">
      <h2>Next</h2>
      <div className="next">
        {steps.map((step, i) => (
          <Button key={step.label} className={i === 0 ? 'button is-first' : 'button'} onPress={() => take(step)}>
            {step.sheet !== undefined ? (
              <FileText size={14} aria-hidden="true" />
            ) : step.question !== undefined ? (
              <ArrowRight size={14} aria-hidden="true" />
            ) : (
              <MapPin size={14} aria-hidden="true" />
            )}
            {step.label}
          </Button>
        ))}
      </div>
    </section>
  )
}
