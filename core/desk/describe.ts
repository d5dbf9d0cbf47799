import { describeAdvance, type Span, spanBetween } from '../advance/index.ts'
import type { QuestionId, SeasonChoice } from '../desk-view.ts'
import { describeDownstream } from '../downstream/index.ts'
import { type Answer, describeProblem, type Figure } from '../model/index.ts'
import { describeOutline } from '../outline/index.ts'
import { describeVet } from '../vet/index.ts'
import { namesOf } from './feature-ids.ts'
import { newestAnswer } from './outputs.ts'
import type { SeasonRun } from './run-season.ts'
import type { DeskState } from './state.ts'
import { waterAnswer } from './water-answer.ts'

/** An answer that only states where things stand. */
const plain = (headline: string, footing = '', figures: readonly Figure[] = []): Answer => ({
  headline: [headline],
  footing: footing === '' ? [] : [footing],
  figures,
  chart: null,
  cannotConclude: [],
})

const NOT_RUN = plain('Not answered yet.', 'Run the season to answer this.')

/** The answer of a question for the seasons chosen, in words and figures. */
export function describeQuestion(state: DeskState, question: QuestionId, choice: SeasonChoice): Answer {
  if (question === 'gather') return describeGather(state)
  if (question === 'vet') return describeVetting(state)
  if (question === 'sheets') return describeSheets(state)
  if (!state.run) return NOT_RUN
  if (question === 'outline') return describeOutlineOf({ ...state, run: state.run }, choice)
  if (question === 'advance') return describeAdvanceOf(state.run, state, choice)
  return describeWater(state, state.run, choice.shown)
}

function describeGather({ gathered }: DeskState): Answer {
  const rejected = gathered.rejected.length
  const refused =
    rejected === 0 ? 'every row was read' : `${rejected} ${rejected === 1 ? 'row was' : 'rows were'} refused`
  const figures = gathered.inputs.map(
    (input): Figure => ({
      id: `input-${input.name}`,
      label: `${input.role === 'reports' ? 'Reports' : input.role.replace('_', ' ')}: ${input.name}`,
      quantity: { kind: 'count', value: input.features, noun: ['row', 'rows'] },
      why: {
        formula: `Read as ${input.crs ?? 'a table without coordinates'}; ${input.rejected} rows refused. SHA-256 ${input.sha256.slice(0, 16)}…`,
        settings: [],
      },
    }),
  )
  return {
    headline: [
      `${gathered.inputs.length} layers came in with `,
      { kind: 'count', value: gathered.reports.length, noun: ['report', 'reports'] },
      `; ${refused}.`,
    ],
    footing: [
      gathered.warnings.length === 0
        ? 'Nothing had to be mended.'
        : `${gathered.warnings.length} things were mended or left out on the way in; the warnings list each.`,
    ],
    figures,
    chart: null,
    cannotConclude: [],
    refused: gathered.rejected.map(problem => [describeProblem(problem)]),
  }
}

function describeVetting({ gathered, vetted, brief, run }: DeskState): Answer {
  return describeVet({
    reports: gathered.reports,
    findings: vetted.findings,
    admissions: vetted.admissions,
    rejectedRows: gathered.rejected.length,
    settings: brief.vet,
    dataDate: vetted.dataDate,
    hasBoundary: (run?.inputs.boundary ?? gathered.layers.boundary ?? null) !== null,
  })
}

export function describeOutlineOf(state: DeskState & { readonly run: SeasonRun }, choice: SeasonChoice): Answer {
  const { run, vetted, brief, gathered } = state
  const at = vetted.seasons.findIndex(season => season.id === choice.shown)
  const { parcels } = gathered.layers
  return describeOutline({
    seasons: vetted.seasons.map((season, i) => ({
      season,
      ...run.outlines[i]!,
      searched: run.searched.find(ground => ground.season === season.id) ?? null,
      matched: run.matched[i]!,
      ...(run.changes[i] ? { change: run.changes[i] } : {}),
    })),
    ...choice,
    histories: run.histories,
    notSeen: run.notSeen,
    parcels: parcels ? (run.placements[at] ?? []) : null,
    ...(parcels ? { parcelName: namesOf(state, 'parcels', parcels) } : {}),
    settings: brief.outline,
  })
}

export function describeAdvanceOf(run: SeasonRun, state: DeskState, choice: SeasonChoice): Answer {
  return describeAdvance(run.advance, seasonAgainst(state, choice), choice.shown)
}

/** The moves between the seasons chosen. */
export const advanceSpan = (run: SeasonRun, state: DeskState, choice: SeasonChoice): Span =>
  spanBetween(run.advance, seasonAgainst(state, choice), choice.shown)

/** The season compared with; without one the season before. */
function seasonAgainst({ vetted }: DeskState, { shown, compared }: SeasonChoice): string {
  const at = vetted.seasons.findIndex(season => season.id === shown)
  return compared ?? vetted.seasons[Math.max(0, at - 1)]!.id
}

/** The answer of one season: where its patches would send what they shed. Parcels are known for the newest season alone. */
export function describeWater({ brief, gathered }: DeskState, run: SeasonRun, season: string): Answer {
  if (run.network === null)
    return plain('No waterways were given.', 'Name a waterway layer in the brief to see where water carries it.')
  const answer = waterAnswer(run, season)
  if (answer === null) return plain(`In ${season} there is no patch that water could carry from.`)
  const newest = newestAnswer(run.downstream)!.season
  const hasParcels = gathered.layers.parcels !== undefined
  const described = describeDownstream({
    answer,
    network: run.network,
    settings: brief.downstream,
    profile: brief.species,
    parcels: hasParcels && season === newest ? run.parcelsAtRisk : null,
  })
  if (!hasParcels || season === newest) return described
  const note = `Which parcels lay at risk in ${season}: parcels are worked out for the newest season alone, ${newest}.`
  return { ...described, cannotConclude: [...described.cannotConclude, [note]] }
}

function describeSheets({ brief, run }: DeskState): Answer {
  if (brief.sheets.length === 0) return plain('The brief names no sheet.', 'Add one under "sheets" in the brief.')
  if (!run) return plain('Run the season first; the sheets are drawn from its answer.')
  const count = brief.sheets.length
  return plain(
    `${count} ${count === 1 ? 'sheet is' : 'sheets are'} ready.`,
    'Each is cut to its audience: what an audience may not see is not in the file.',
  )
}
