import type { DeskFailure, Overview, QuestionId, QuestionView, SeasonChoice } from '../../core/desk-view.ts'
import type { FileToken, HostSurface } from '../../electron/ipc/surface.ts'
import { type DeskClient, DeskError, startDesk } from '../worker/desk-client.ts'
import { DESK_ASSETS } from './desk-assets.ts'
import { isDrawn } from './drawn.ts'
import { setLocale, type WindowState, windowStore } from './window-state.ts'

/** The desk and its host as this window holds them; set once at the start. */
const held: {
  desk: DeskClient | null
  host: HostSurface | null
  /** How many views were asked for; the latest wins. */
  views: number
  /** Answers of this run by question and seasons. */
  known: Map<string, QuestionView>
} = { desk: null, host: null, views: 0, known: new Map() }

export function desk(): DeskClient {
  if (held.desk === null) throw new Error('The desk has not started.')
  return held.desk
}

export const host = (): HostSurface => {
  if (held.host === null) throw new Error('The window has no host.')
  return held.host
}

const asFailure = (error: unknown): DeskFailure =>
  error instanceof DeskError
    ? error.failure
    : { kind: 'fault', problem: { code: 'fault', reason: error instanceof Error ? error.message : String(error) } }

/** Shows what did not happen; a stop that was asked for is news, not trouble. */
export function showFailure(error: unknown): void {
  const failure = asFailure(error)
  if (failure.kind === 'cancelled') windowStore.set({ notice: failure.problem.reason })
  else windowStore.set({ failure })
}

/** Brings the desk up and opens the brief that the host names, with its answer on the map. */
export async function startWindow(surface: HostSurface): Promise<void> {
  held.host = surface
  const startup = await surface.startup()
  setLocale(startup.locale)
  windowStore.set({ version: startup.version })
  held.desk = await startDesk({
    version: startup.version,
    locale: startup.locale,
    assets: DESK_ASSETS,
    readFile: readBesideBrief,
    onProgress: showProgress,
  })
  if (startup.brief === null) windowStore.set({ phase: 'empty' })
  else await openBrief(startup.brief)
}

function readBesideBrief(path: string): Promise<Uint8Array> {
  const { brief } = windowStore.get()
  if (brief === null) throw new Error('No brief is open.')
  return path === brief.name ? host().readFile(brief.token) : host().readFile(brief.token, path)
}

function showProgress(fraction: number, note: string): void {
  const { work } = windowStore.get()
  if (work !== null && !work.isStopping) windowStore.set({ work: { ...work, fraction, note } })
}

/** Runs one long piece of work with its progress on screen; true when it was done. */
export async function doWork(label: string, work: () => Promise<void>): Promise<boolean> {
  if (windowStore.get().work !== null) return false
  windowStore.set({ work: { label, fraction: 0, note: '', isStopping: false }, failure: null, notice: null })
  try {
    await work()
    return true
  } catch (error) {
    showFailure(error)
    return false
  } finally {
    windowStore.set({ work: null })
  }
}

export function stopWork(): void {
  const { work } = windowStore.get()
  if (work === null) return
  windowStore.set({ work: { ...work, isStopping: true, note: 'Stopping' } })
  desk().cancel()
}

export async function openBrief(brief: FileToken): Promise<void> {
  const before = windowStore.get().brief
  windowStore.set({ brief })
  const isOpen = await doWork(`Opening ${brief.name}`, async () => {
    const overview = await desk().call('openBrief', brief.name)
    await takeOverview(overview, true)
    if (!overview.hasRun) await takeOverview(await desk().call('run'), false)
  })
  if (!isOpen && windowStore.get().phase !== 'open') windowStore.set({ phase: 'empty', brief: before })
}

export async function chooseBrief(): Promise<void> {
  try {
    const chosen = await host().chooseFile('brief')
    if (chosen !== null) await openBrief(chosen)
  } catch (error) {
    showFailure(error)
  }
}

/** Runs the season's job with the settings that were changed on the question sheets. */
export async function runSeason(): Promise<void> {
  const { changes } = windowStore.get()
  const isDone = await doWork('Running the season', async () => {
    await takeOverview(await desk().call('run', changes), false)
    windowStore.set({ changes: {} })
  })
  if (isDone) windowStore.set({ notice: 'The season is worked out.' })
}

async function takeOverview(overview: Overview, isNew: boolean): Promise<void> {
  const { choice } = windowStore.get()
  const last = overview.seasons.at(-1)
  const isKept = !isNew && overview.seasons.some(band => band.season === choice.shown)
  const fresh: SeasonChoice = isKept
    ? choice
    : { shown: last?.season ?? '', compared: overview.seasons.at(-2)?.season ?? null }
  held.known = new Map()
  const map = await desk().takeMapLayers()
  const selected = isNew
    ? { selection: null, card: null, ledger: null, rows: {}, goTo: { box: overview.bounds } }
    : { card: null }
  windowStore.set({ phase: 'open', overview, map, choice: fresh, ...selected })
  await showQuestion(windowStore.get().question, fresh)
}

/** Shows a question for a choice of seasons; the latest asked wins. */
export async function showQuestion(question: QuestionId, choice: SeasonChoice): Promise<void> {
  const turn = ++held.views
  const known = held.known.get(keyOf(question, choice))
  windowStore.set(known === undefined ? { question, choice } : { question, choice, view: known, ...undrawn(known) })
  try {
    if (known === undefined) {
      const view = await viewOf(question, choice)
      if (turn !== held.views) return
      windowStore.set({ view, ...undrawn(view) })
    }
    void renewCard()
    void askAhead(turn)
    const { ledger } = windowStore.get()
    if (ledger !== null) windowStore.set({ ledger: await desk().call('ledger', ledger.layer, choice) })
  } catch (error) {
    showFailure(error)
  }
}

const keyOf = (question: QuestionId, { shown, compared }: SeasonChoice) => `${question} ${shown} ${compared}`

/** The answer for a choice, kept until another run. */
async function viewOf(question: QuestionId, choice: SeasonChoice): Promise<QuestionView> {
  const { known } = held
  const view = await desk().call('question', question, choice)
  known.set(keyOf(question, choice), view)
  return view
}

/** Asks while nothing else is asked what each season would answer, so that its press finds the answer there. */
async function askAhead(turn: number): Promise<void> {
  await new Promise(resolve => setTimeout(resolve, AHEAD_AFTER_MS))
  const { overview, question, choice } = windowStore.get()
  for (const { season } of overview?.seasons ?? []) {
    if (turn !== held.views || windowStore.get().work !== null) return
    const next = choiceOf(season, choice)
    if (!held.known.has(keyOf(question, next))) await viewOf(question, next).catch(() => undefined)
  }
}

const AHEAD_AFTER_MS = 250

/** What was selected goes when the question or the seasons now shown do not draw it. */
function undrawn(view: QuestionView): Partial<WindowState> {
  const { selection, card } = windowStore.get()
  if (selection === null || isDrawn(view, selection.layer, card?.season ?? null)) return {}
  return { selection: null, card: null, boxed: null }
}

/** A reach tells of another season now; what is of one season stays as it is. */
async function renewCard(): Promise<void> {
  const { card, choice } = windowStore.get()
  if (card === null || typeof card.season === 'string') return
  const fresh = await desk().call('feature', card.layer, card.fid, choice)
  if (windowStore.get().card === card) windowStore.set({ card: fresh })
}

export const askQuestion = (question: QuestionId): void => {
  void showQuestion(question, windowStore.get().choice)
}

/** Shows a season; the one that was compared gives way when it is the same. */
export async function showSeason(season: string): Promise<void> {
  const { choice, question } = windowStore.get()
  if (season !== choice.shown) await showQuestion(question, choiceOf(season, choice))
}

const choiceOf = (season: string, { shown, compared }: SeasonChoice): SeasonChoice => ({
  shown: season,
  compared: compared === season ? shown : compared,
})

/** Compares with a season, or no longer when it already was the compared one. */
export function compareSeason(season: string): void {
  const { choice, question } = windowStore.get()
  if (season === choice.shown) return
  void showQuestion(question, { shown: choice.shown, compared: choice.compared === season ? null : season })
}
