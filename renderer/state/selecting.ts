import type { FindHit, LedgerTable, MapLayerId } from '../../core/desk-view.ts'
import { desk, showFailure } from './desk-session.ts'
import { type Selection, windowStore } from './window-state.ts'

/** Selects features on map and ledger alike; one alone also opens its card. */
export async function selectFeatures(selection: Selection | null, isGoingThere = false): Promise<void> {
  windowStore.set({ selection, card: null })
  const only = selection?.fids.length === 1 ? selection.fids[0] : undefined
  if (selection === null || only === undefined) return
  try {
    const card = await desk().call('feature', selection.layer, only)
    if (windowStore.get().selection !== selection) return
    windowStore.set(isGoingThere ? { card, goTo: { box: card.box } } : { card })
  } catch (error) {
    showFailure(error)
  }
}

/** Rows of the named features; a name that two seasons share means the shown one, unless only the other has it. */
function rowsNamed(table: LedgerTable, ids: readonly string[], shown: string): readonly number[] {
  const wanted = new Set(ids)
  const season = table.columns.findIndex(column => column.id === 'season')
  const named = table.rows.flatMap((_, row) => (wanted.has(table.ids[row]!) ? [row] : []))
  if (season < 0) return named
  const isShown = (row: number) => String(table.rows[row]![season]) === shown
  const inShown = new Set(named.filter(isShown).map(row => table.ids[row]!))
  return named.filter(row => isShown(row) || !inShown.has(table.ids[row]!))
}

/** Selects by the names that a why or a next step gives. */
export async function selectByIds(layer: MapLayerId, ids: readonly string[]): Promise<void> {
  try {
    const { choice } = windowStore.get()
    const table = await desk().call('ledger', layer, choice)
    const fids = rowsNamed(table, ids, choice.shown).map(row => table.fids[row]!)
    await selectFeatures({ layer, fids }, true)
    if (fids.length === 0) windowStore.set({ notice: 'None of them lie on the map of these seasons.' })
    else if (fids.length > 1) await goToFeatures({ layer, fids })
  } catch (error) {
    showFailure(error)
  }
}

/** At most this many boxes are joined to find where to go. */
const BOXES_JOINED = 200

async function goToFeatures({ layer, fids }: Selection): Promise<void> {
  const some = fids.slice(0, BOXES_JOINED)
  const boxes = await Promise.all(some.map(async fid => (await desk().call('feature', layer, fid)).box))
  const first = boxes[0]
  if (first === undefined) return
  const box = boxes.reduce(
    (all, one) =>
      [Math.min(all[0], one[0]), Math.min(all[1], one[1]), Math.max(all[2], one[2]), Math.max(all[3], one[3])] as const,
    first,
  )
  windowStore.set({ goTo: { box } })
}

export async function goToHit(hit: FindHit): Promise<void> {
  windowStore.set({ goTo: { box: hit.box } })
  if (hit.layer !== null && hit.fid !== null) await selectFeatures({ layer: hit.layer, fids: [hit.fid] })
}

export async function openLedger(layer: MapLayerId): Promise<void> {
  try {
    windowStore.set({ ledger: await desk().call('ledger', layer, windowStore.get().choice) })
  } catch (error) {
    showFailure(error)
  }
}

export const closeLedger = (): void => windowStore.set({ ledger: null })
