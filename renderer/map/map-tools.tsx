import { Maximize, Minus, Plus, Ruler, Square, SquareDashed } from 'lucide-react'
import { ToggleButton, Tooltip, TooltipTrigger } from 'react-aria-components'
import { turnTool } from '../state/measuring.ts'
import { useWindow } from '../state/use-window.ts'
import { IconButton } from '../widgets/icon-button.tsx'
import type { MapController } from './map-controller.ts'

const TOOLS = [
  { tool: 'length', label: 'Measure a length (M)', Icon: Ruler },
  { tool: 'area', label: 'Measure an area (A)', Icon: Square },
  { tool: 'box', label: 'Select in a box (B)', Icon: SquareDashed },
] as const

/** Zoom, the whole district, and the tools; the keyboard and the wheel do the same. */
export function MapTools({ controller }: { readonly controller: MapController | null }) {
  const bounds = useWindow(state => state.overview?.bounds)
  const inHand = useWindow(state => state.tool)
  return (
    <div className="map-tools" role="toolbar" aria-label="Map">
      <IconButton label="Zoom in" onPress={() => controller?.map.zoomIn()}>
        <Plus size={16} />
      </IconButton>
      <IconButton label="Zoom out" onPress={() => controller?.map.zoomOut()}>
        <Minus size={16} />
      </IconButton>
      <IconButton label="Show the whole district" onPress={() => bounds && controller?.goTo(bounds, false)}>
        <Maximize size={15} />
      </IconButton>
      <hr />
      {TOOLS.map(({ tool, label, Icon }) => (
        <TooltipTrigger key={tool} delay={500}>
          <ToggleButton
            className="icon-button"
            aria-label={label}
            isSelected={inHand === tool}
            onChange={() => turnTool(tool)}
          >
            <Icon size={15} />
          </ToggleButton>
          <Tooltip className="tooltip" offset={6} placement="right">
            {label}
          </Tooltip>
        </TooltipTrigger>
      ))}
    </div>
  )
}
