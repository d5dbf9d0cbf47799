import { Maximize, Minus, Plus } from 'lucide-react'
import { useWindow } from '../state/use-window.ts'
import { IconButton } from '../widgets/icon-button.tsx'
import type { MapController } from './map-controller.ts'

/** Zoom and the whole district; the keyboard and the wheel do the same. */
export function MapTools({ controller }: { readonly controller: MapController | null }) {
  const bounds = useWindow(state => state.overview?.bounds)
  return (
    <div className="map-tools" role="toolbar" aria-label="Map view">
      <IconButton label="Zoom in" onPress={() => controller?.map.zoomIn()}>
        <Plus size={16} />
      </IconButton>
      <IconButton label="Zoom out" onPress={() => controller?.map.zoomOut()}>
        <Minus size={16} />
      </IconButton>
      <IconButton label="Show the whole district" onPress={() => bounds && controller?.goTo(bounds, false)}>
        <Maximize size={15} />
      </IconButton>
    </div>
  )
}
