import type { Map as MapLibreMap, MapMouseEvent } from 'maplibre-gl'
import type { Box } from '../../core/model/index.ts'

/** A box on the canvas in CSS pixels. */
export interface CanvasBox {
  readonly left: number
  readonly top: number
  readonly width: number
  readonly height: number
}

export interface BoxDragListeners {
  /** Whether a press that begins now draws a box. */
  mayBegin(event: MouseEvent): boolean
  onDraw(box: CanvasBox | null): void
  onDone(box: Box): void
}

/** A press that moved less is a click. */
const LEAST = 4

/** Draws boxes by dragging on the map; the map itself stays where it is meanwhile. */
export function watchBoxDrags(map: MapLibreMap, listeners: BoxDragListeners): void {
  map.on('mousedown', (press: MapMouseEvent) => {
    if (press.originalEvent.button !== 0 || !listeners.mayBegin(press.originalEvent)) return
    press.preventDefault()
    const origin = map.getCanvas().getBoundingClientRect()
    const boxTo = (event: MouseEvent): CanvasBox => {
      const [x, y] = [event.clientX - origin.left, event.clientY - origin.top]
      return {
        left: Math.min(x, press.point.x),
        top: Math.min(y, press.point.y),
        width: Math.abs(x - press.point.x),
        height: Math.abs(y - press.point.y),
      }
    }
    const end = new AbortController()
    const finish = (box: CanvasBox | null) => {
      end.abort()
      listeners.onDraw(null)
      if (box !== null && Math.max(box.width, box.height) >= LEAST) listeners.onDone(degreesOf(map, box))
    }
    const { signal } = end
    window.addEventListener('mousemove', event => listeners.onDraw(boxTo(event)), { signal })
    window.addEventListener('mouseup', event => finish(boxTo(event)), { signal })
    window.addEventListener('keydown', event => event.key === 'Escape' && finish(null), { signal })
    window.addEventListener('blur', () => finish(null), { signal })
  })
}

/** The map is never turned, so that a box on the canvas is a box of degrees. */
function degreesOf(map: MapLibreMap, { left, top, width, height }: CanvasBox): Box {
  const [northWest, southEast] = [map.unproject([left, top]), map.unproject([left + width, top + height])]
  return [northWest.lng, southEast.lat, southEast.lng, northWest.lat]
}
