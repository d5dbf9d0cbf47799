import type { QuestionId, QuestionView, SeasonChoice } from '../desk-view.ts'
import { advanceSpan } from './describe.ts'
import type { DeskState } from './state.ts'

/** What to do after reading an answer. */
export function nextSteps(state: DeskState, question: QuestionId, choice: SeasonChoice): QuestionView['next'] {
  const { run, brief } = state
  if (question === 'gather') return [{ label: 'See which reports hold', question: 'vet' }]
  if (question === 'vet') return [{ label: 'See where it is', question: 'outline' }]
  if (!run) return []
  const sheet = brief.sheets[0]
  const hand = sheet ? [{ label: 'Season review sheet', question: 'sheets' as const, sheet: sheet.id }] : []
  if (question === 'outline') return [{ label: 'See how far it moved', question: 'advance' }, ...hand]
  if (question === 'advance') {
    const { jumps, farAgeUnknown } = advanceSpan(run, state, choice)
    const outliers = [...jumps, ...farAgeUnknown]
    const ids = outliers.map(outlier => `${outlier.season}/${outlier.patchId}`)
    const label = outliers.length === 1 ? 'Show the outlier patch' : 'Show the outlier patches'
    return [
      ...(ids.length === 0 ? [] : [{ label, select: { layer: 'patches' as const, ids } }]),
      { label: 'See where water carries it', question: 'downstream' },
      ...hand,
    ]
  }
  return question === 'downstream' ? hand : []
}
