import { measurePathLength, measureRingArea } from '../../core/geo/index.ts'
import type { Position, Quantity } from '../../core/model/index.ts'
import { selectInBox } from './selecting.ts'
import { type MapTool, windowStore } from './window-state.ts'

/** Takes a tool up, or puts it down when it is already in hand. */
export function turnTool(tool: Exclude<MapTool, 'pick'>): void {
  if (windowStore.get().isMapAbsent) {
    windowStore.set({ notice: 'There is no map to do that on.' })
    return
  }
  const isInHand = windowStore.get().tool === tool
  windowStore.set({ tool: isInHand ? 'pick' : tool, places: [], isEnded: false })
}

export const leaveTool = (): void => windowStore.set({ tool: 'pick', places: [], isEnded: false })

/** The next place of what is measured; the second corner of a box selects what lies in it. */
export function addPlace(place: Position): void {
  const { tool, places, isEnded } = windowStore.get()
  const next = isEnded ? [place] : [...places, place]
  const [a, b] = next
  if (tool === 'box' && a !== undefined && b !== undefined) {
    windowStore.set({ places: [] })
    void selectInBox([Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[0], b[0]), Math.max(a[1], b[1])])
  } else windowStore.set({ places: next, isEnded: false })
}

export const takePlaceBack = (): void =>
  windowStore.set({ places: windowStore.get().places.slice(0, -1), isEnded: false })

export function endMeasure(): void {
  if (windowStore.get().places.length > 0) windowStore.set({ isEnded: true })
}

export interface Measured {
  readonly length: Quantity
  /** Null under three places. */
  readonly area: Quantity | null
}

/** Ellipsoidal, along geodesics; the length of an area is once around it. */
export function measurePlaces(places: readonly Position[], tool: MapTool): Measured {
  const isArea = tool === 'area' && places.length > 2
  const path = Float64Array.from((isArea ? [...places, places[0]!] : places).flat())
  return {
    length: { kind: 'length', value: places.length > 1 ? measurePathLength(path) : 0 },
    area: isArea ? { kind: 'area', value: measureRingArea(path) } : null,
  }
}
