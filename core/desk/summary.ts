import type { SeasonChoice } from '../desk-view.ts'
import { balanceSummary } from '../downstream/index.ts'
import { type Answer, type Figure, PATCH_STATUS } from '../model/index.ts'
import { describeAdvanceOf, describeOutlineOf, describeQuestion, describeWater } from './describe.ts'
import { newestAnswer } from './outputs.ts'
import type { SeasonRun } from './run-season.ts'
import type { DeskState } from './state.ts'

const UNITS: Readonly<Record<string, string>> = {
  area: 'm2',
  length: 'm',
  rate: 'm/year',
  share: '1',
  count: 'count',
  date: 'date',
  text: 'text',
}

/** Every headline figure with its unit, its interval and the run that made it. */
export function buildSummary(state: DeskState & { readonly run: SeasonRun }, version: string) {
  const { run, vetted, brief, gathered, runId } = state
  const choice = newestChoice(state)
  const figures = (answer: Answer) =>
    Object.fromEntries(answer.figures.map(figure => [figure.id, figureJson(figure, runId)]))
  const flow = newestAnswer(run.downstream)
  return {
    title: brief.title,
    version,
    run_id: runId,
    data_date: vetted.dataDate,
    season: choice.shown,
    compared_with: choice.compared,
    seasons: vetted.seasons.map(season => season.id),
    inputs: gathered.inputs.map(({ role, name, sha256, features, rejected }) => ({
      role,
      name,
      sha256,
      features,
      rejected,
    })),
    frame: vetted.tools.frame.name,
    vet: figures(describeQuestion(state, 'vet', choice)),
    outline: { ...patchCounts(run, choice.shown, runId), ...figures(describeOutlineOf(state, choice)) },
    advance: { leads: run.advance.leads, ...figures(describeAdvanceOf(run, state, choice)) },
    downstream: {
      ...figures(describeWater(state, run, flow?.season ?? choice.shown)),
      ordinary: flow === null ? null : balanceSummary(flow.ordinary.balance),
      flood: flow === null ? null : balanceSummary(flow.flood.balance),
    },
  }
}

/** Patches of the season and how many have each status, those that none has too: the statuses add up to the patches. */
function patchCounts({ outlines, histories }: SeasonRun, season: string, run: string) {
  const patches = outlines.flatMap(outline => outline.patches).filter(patch => patch.season === season)
  const counted = (label: string, value: number) => ({ label, value, unit: 'count', low: null, high: null, run })
  const statusOf = new Map(histories.filter(entry => entry.season === season).map(h => [h.patchId, h.status]))
  const statuses = PATCH_STATUS.map(status => {
    const held = patches.filter(patch => statusOf.get(patch.id) === status).length
    return [`status_${status}`, counted(`Patches that are ${status.replace('_', ' ')}`, held)] as const
  })
  return { patches: counted('Patches', patches.length), ...Object.fromEntries(statuses) }
}

function figureJson({ label, quantity }: Figure, run: string) {
  return {
    label,
    value: quantity.value,
    unit: UNITS[quantity.kind],
    low: quantity.low ?? null,
    high: quantity.high ?? null,
    run,
  }
}

/** The newest season that holds an admitted report; the last one where none does. */
export function newestSeason({ vetted }: DeskState): string {
  const held = vetted.sightings.filter(({ finds, visits }) => finds.length + visits.length > 0)
  return (held.at(-1)?.season ?? vetted.seasons.at(-1)?.id)!
}

/** What is looked at when nobody chose: the newest season beside the one before it. */
export function newestChoice(state: DeskState): SeasonChoice {
  const shown = newestSeason(state)
  return { shown, compared: seasonBefore(state, shown) }
}

export function seasonBefore({ vetted }: DeskState, season: string): string | null {
  const at = vetted.seasons.findIndex(entry => entry.id === season)
  return at <= 0 ? null : vetted.seasons[at - 1]!.id
}
