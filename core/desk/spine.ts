import { QUESTION_WORDS, QUESTIONS, type QuestionId, type SeasonChoice, type SpineEntry } from '../desk-view.ts'
import type { Phrase } from '../model/index.ts'
import { advanceSpan } from './describe.ts'
import type { DeskState } from './state.ts'
import { waterAnswer } from './water-answer.ts'

/** The questions with their short live answers for the seasons chosen; alone enough to tell where things stand. */
export function buildSpine(state: DeskState, choice: SeasonChoice): SpineEntry[] {
  return QUESTIONS.map(question => ({
    question,
    words: QUESTION_WORDS[question],
    answer: shortAnswer(state, question, choice),
    ...standing(state, question),
  }))
}

function shortAnswer(state: DeskState, question: QuestionId, choice: SeasonChoice): Phrase {
  const { gathered, vetted, run, brief } = state
  if (question === 'gather') return [{ kind: 'count', value: gathered.inputs.length, noun: ['layer', 'layers'] }]
  if (question === 'vet') {
    const admitted = vetted.admissions.filter(admission => admission.isAdmitted).length
    return [{ kind: 'count', value: admitted, noun: ['report counts', 'reports count'] }]
  }
  if (!run) return []
  if (question === 'sheets')
    return [{ kind: 'count', value: brief.sheets.length, noun: ['sheet ready', 'sheets ready'] }]
  if (question === 'outline') return outlineWords(state, choice.shown)
  if (question === 'advance') return advanceWords(state, choice)
  const answer = waterAnswer(run, choice.shown)
  if (answer === null || run.network === null) return ['no water to follow']
  const { length } = run.network
  const first = [...answer.ordinary.look.keys()].filter(reach => answer.ordinary.look[reach] === 1)
  return ['look first at ', { kind: 'length', value: first.reduce((sum, reach) => sum + length[reach]!, 0) }]
}

function outlineWords(state: DeskState, shown: string): Phrase {
  const patches = state.run!.outlines.flatMap(outline => outline.patches).filter(patch => patch.season === shown)
  const gross = patches.reduce((sum, patch) => sum + patch.grossArea, 0)
  return [
    { kind: 'area', value: gross },
    ' gross, ',
    { kind: 'count', value: patches.length, noun: ['patch', 'patches'] },
  ]
}

function advanceWords(state: DeskState, choice: SeasonChoice): Phrase {
  const span = advanceSpan(state.run!, state, choice)
  const bare = whyNoMove(state, choice)
  if (bare !== null && span.edgeMove === null) return [bare]
  const jumps = span.jumps.length
  const jumped: Phrase = jumps === 0 ? [] : [', ', { kind: 'count', value: jumps, noun: ['jump', 'jumps'] }]
  if (span.edgeMove === null) return ['cannot be told', ...jumped]
  return [{ kind: 'length', value: span.edgeMove, isSigned: true }, ...jumped]
}

/** Why there can be no move between the seasons chosen; null where both have patches. */
function whyNoMove({ run }: DeskState, { shown, compared }: SeasonChoice): string | null {
  if (compared === null) return 'first season'
  const patches = run!.outlines.flatMap(outline => outline.patches)
  const isBare = (season: string) => patches.every(patch => patch.season !== season)
  if (isBare(shown)) return isBare(compared) ? 'no patch in either season' : `no patch in ${shown}`
  return isBare(compared) ? `no patch in ${compared} to move from` : null
}

function standing(state: DeskState, question: QuestionId): Pick<SpineEntry, 'state' | 'note'> {
  const { gathered, vetted, run, isStale } = state
  if (question === 'gather') {
    const refused = gathered.rejected.length
    return refused === 0
      ? { state: 'fresh', note: null }
      : { state: 'attention', note: `${refused} ${refused === 1 ? 'row' : 'rows'} refused` }
  }
  if (question === 'vet') {
    const held = vetted.admissions.filter(admission => !admission.isAdmitted).length
    return held === 0 ? { state: 'fresh', note: null } : { state: 'attention', note: `${held} held back` }
  }
  if (!run) return { state: 'waiting', note: null }
  if (isStale) return { state: 'stale', note: 'a setting changed since' }
  const problems = question === 'downstream' ? (run.network?.problems.length ?? 0) : 0
  return problems > 0
    ? { state: 'attention', note: `${problems} to look at in the network` }
    : { state: 'fresh', note: null }
}
