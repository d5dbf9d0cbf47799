import { useEffect, useMemo, useState } from 'react'
import { MAP_LAYERS, type MapLayerId } from '../../core/desk-view.ts'
import type { Chart } from '../../core/model/index.ts'
import { desk } from '../state/desk-session.ts'
import { useWindow } from '../state/use-window.ts'

type Rests = { readonly layer: string; readonly ids: readonly string[] } | undefined

export const mapLayerOf = (selection: Rests): MapLayerId | undefined =>
  selection === undefined || selection.ids.length === 0
    ? undefined
    : MAP_LAYERS.find(layer => layer === selection.layer)

/** Which points of a chart hold a feature that is selected now, on the map or in the table. */
export function useChosenPoints(chart: Chart): readonly boolean[] {
  const selection = useWindow(state => state.selection)
  const choice = useWindow(state => state.choice)
  const version = useWindow(state => state.map.version)
  const isIdle = selection === null
  const [held, setHeld] = useState<readonly ReadonlySet<number>[]>([])
  useEffect(() => {
    void version
    if (isIdle) return
    let isLate = false
    const found = chart.points.map(async ({ selection: rests }) => {
      const layer = mapLayerOf(rests)
      return new Set(layer === undefined ? [] : (await desk().call('locate', layer, rests!.ids, choice)).fids)
    })
    Promise.all(found)
      .then(sets => isLate || setHeld(sets))
      // Features of a run that the next one has replaced.
      .catch(() => isLate || setHeld([]))
    return () => {
      isLate = true
    }
  }, [chart, choice, version, isIdle])
  return useMemo(
    () =>
      chart.points.map(
        (point, i) =>
          selection !== null &&
          point.selection?.layer === selection.layer &&
          selection.fids.some(fid => held[i]?.has(fid) === true),
      ),
    [chart, held, selection],
  )
}
