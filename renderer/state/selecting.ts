import type { FindHit, MapLayerId } from '../../core/desk-view.ts'
import type { Box } from '../../core/model/index.ts'
import { rowState } from '../map/legend-state.ts'
import { PICKED } from '../map/map-style.ts'
import { desk, showFailure, showSeason } from './desk-session.ts'
import { isDrawn } from './drawn.ts'
import { type Selection, windowStore } from './window-state.ts'

/** Selects features on map and ledger alike; one alone also opens its card. */
export async function selectFeatures(selection: Selection | null, isGoingThere = false): Promise<void> {
  windowStore.set({ selection, card: null, ...(isSame(selection) ? {} : { boxed: null }) })
  const only = selection?.fids.length === 1 ? selection.fids[0] : undefined
  if (selection === null || only === undefined) return
  try {
    const card = await desk().call('feature', selection.layer, only, windowStore.get().choice)
    if (windowStore.get().selection !== selection) return
    windowStore.set(isGoingThere && hasPlace(card.box) ? { card, goTo: { box: card.box } } : { card })
  } catch (error) {
    showFailure(error)
  }
}

/** Whether the selection is one of those that a box offers. */
const isSame = (selection: Selection | null) => windowStore.get().boxed?.some(one => one === selection) === true

/** A feature without geometry has its box the wrong way round. */
const hasPlace = ([west, , east]: Box) => west <= east

/** Selects by the names that a why, a chart or a next step gives. */
export async function selectByIds(layer: MapLayerId, ids: readonly string[], isGoingThere = true): Promise<void> {
  try {
    const { fids, box } = await desk().call('locate', layer, ids, windowStore.get().choice)
    await selectFeatures(fids.length === 0 ? null : { layer, fids })
    if (fids.length === 0) windowStore.set({ notice: 'None of them lie on the map.' })
    else if (box === null) windowStore.set({ notice: 'They have no place on the map; the table lists them.' })
    else if (isGoingThere) windowStore.set({ goTo: { box } })
  } catch (error) {
    showFailure(error)
  }
}

/** Selects what a box of degrees meets of the layers that the legend shows: the table's layer if any of it is met, else the foremost one. */
export async function selectInBox(box: Box): Promise<void> {
  const { view, rows, choice, ledger } = windowStore.get()
  const seen = new Set(view?.legend.filter(row => rowState(row, rows) !== 'hide').map(row => row.layer))
  try {
    const found = await desk().call(
      'featuresIn',
      box,
      PICKED.filter(layer => seen.has(layer)),
      choice,
    )
    const boxed = [...found].sort((a, b) => PICKED.indexOf(a.layer) - PICKED.indexOf(b.layer))
    const first = boxed.find(one => one.layer === ledger?.layer) ?? boxed[0]
    windowStore.set({ boxed, ...(first === undefined ? { notice: 'Nothing that is shown lies in the box.' } : {}) })
    await selectFeatures(first ?? null)
  } catch (error) {
    showFailure(error)
  }
}

/** Goes to what was found; what is of another season makes that the season shown, and what is not drawn is said to be so. */
export async function goToHit(hit: FindHit): Promise<void> {
  const { layer, fid, season = null } = hit
  const { choice } = windowStore.get()
  if (season !== null && season !== choice.shown && season !== choice.compared) await showSeason(season)
  windowStore.set({ goTo: { box: hit.box } })
  if (layer === null || fid === null) return
  await selectFeatures({ layer, fids: [fid] })
  if (!isDrawn(windowStore.get().view, layer, season))
    windowStore.set({ notice: `${hit.label} is not drawn in this question; its card tells of it.` })
}

export async function openLedger(layer: MapLayerId): Promise<void> {
  try {
    windowStore.set({ ledger: await desk().call('ledger', layer, windowStore.get().choice) })
  } catch (error) {
    showFailure(error)
  }
}

export const closeLedger = (): void => windowStore.set({ ledger: null })
