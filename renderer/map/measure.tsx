import { CornerDownLeft, Undo2, X } from 'lucide-react'
import { type FormEvent, type KeyboardEvent, useState } from 'react'
import { Button } from 'react-aria-components'
import type { Position } from '../../core/model/index.ts'
import { parsePlace } from '../find/parse-place.ts'
import { addPlace, endMeasure, leaveTool, measurePlaces, takePlaceBack } from '../state/measuring.ts'
import { useWindow } from '../state/use-window.ts'
import type { MapTool } from '../state/window-state.ts'
import { QuantityText } from '../widgets/figure-text.tsx'
import { IconButton } from '../widgets/icon-button.tsx'
import type { CanvasBox } from './box-drag.ts'
import type { PointerPlace } from './map-controller.ts'
import type { MapWindow } from './map-window.ts'

const TOOL_WORDS: Readonly<Record<MapTool, string>> = {
  pick: '',
  length: 'Measure a length',
  area: 'Measure an area',
  box: 'Select in a box',
}

const HINTS: Readonly<Record<MapTool, string>> = {
  pick: '',
  length: 'Click place after place, or type them. Enter ends, Escape leaves.',
  area: 'Click around the area, or type its corners. Enter ends, Escape leaves.',
  box: 'Drag a box, or type two corners. Shift and drag does the same at any time. Escape leaves.',
}

/** The tool in hand: what it measured, and places by keyboard. */
export function MeasurePanel({ pointer }: { readonly pointer: PointerPlace | null }) {
  const tool = useWindow(state => state.tool)
  const places = useWindow(state => state.places)
  const isEnded = useWindow(state => state.isEnded)
  if (tool === 'pick') return null
  const isMeasure = tool !== 'box'
  return (
    <section className="measure" aria-label={TOOL_WORDS[tool]}>
      <header>
        <h3>{TOOL_WORDS[tool]}</h3>
        <IconButton label="Leave (Escape)" onPress={leaveTool}>
          <X size={15} />
        </IconButton>
      </header>
      {isMeasure && <Figures tool={tool} places={withPointer(places, isEnded ? null : pointer)} isEnded={isEnded} />}
      <PlaceField isCorner={!isMeasure} />
      <p className="soft">{HINTS[tool]}</p>
      {isMeasure && places.length > 0 && (
        <div className="measure-acts">
          <Button className="button" onPress={takePlaceBack}>
            <Undo2 size={13} aria-hidden="true" /> Last place back
          </Button>
          {!isEnded && (
            <Button className="button" onPress={endMeasure}>
              <CornerDownLeft size={13} aria-hidden="true" /> End
            </Button>
          )}
        </div>
      )}
    </section>
  )
}

const withPointer = (places: readonly Position[], pointer: PointerPlace | null): readonly Position[] =>
  pointer === null || places.length === 0 ? places : [...places, [pointer.longitude, pointer.latitude]]

interface FiguresProps {
  readonly tool: MapTool
  readonly places: readonly Position[]
  readonly isEnded: boolean
}

function Figures({ tool, places, isEnded }: FiguresProps) {
  const { length, area } = measurePlaces(places, tool)
  return (
    <dl aria-live={isEnded ? 'polite' : 'off'}>
      {tool === 'area' && (
        <div>
          <dt>Area</dt>
          <dd>{area === null ? '–' : <QuantityText quantity={area} />}</dd>
        </div>
      )}
      <div>
        <dt>{tool === 'area' ? 'Around it' : 'Length'}</dt>
        <dd>
          <QuantityText quantity={length} />
        </dd>
      </div>
    </dl>
  )
}

/** Typed coordinates in any notation of the readout; Enter on an empty field ends. */
function PlaceField({ isCorner }: { readonly isCorner: boolean }) {
  const [text, setText] = useState('')
  const [isWrong, setWrong] = useState(false)
  const count = useWindow(state => state.places.length)
  const words = isCorner ? (count === 0 ? 'First corner' : 'Opposite corner') : 'Next place'
  const submit = (event: FormEvent) => {
    event.preventDefault()
    if (text.trim() === '') return endMeasure()
    const place = parsePlace(text)
    setWrong(place === null)
    if (place === null) return
    setText('')
    addPlace(place)
  }
  const onKey = (event: KeyboardEvent) => {
    if (event.key !== 'Escape') return
    event.stopPropagation()
    leaveTool()
  }
  return (
    <form className="measure-place" onSubmit={submit}>
      <label>
        {words}
        <input
          value={text}
          placeholder="35.71 -45.76"
          aria-invalid={isWrong}
          aria-describedby={isWrong ? 'measure-wrong' : undefined}
          onChange={event => {
            setText(event.target.value)
            setWrong(false)
          }}
          onKeyDown={onKey}
        />
      </label>
      <button type="submit" className="button">
        Add
      </button>
      {isWrong && (
        <p id="measure-wrong" className="field-wrong" role="alert">
          Not a place. Degrees, UTM and USNG are read, e.g. 35.71 -45.76.
        </p>
      )}
    </form>
  )
}

/** A round dot by two arcs. */
const dotPath = ([x, y]: readonly [number, number]) => `M${x - 3.4} ${y}a3.4 3.4 0 1 0 6.8 0a3.4 3.4 0 1 0 -6.8 0Z`

interface DrawingProps {
  readonly window: MapWindow
  readonly pointer: PointerPlace | null
  readonly box: CanvasBox | null
}

/** What is being measured or boxed, drawn over the map. */
export function MeasureDrawing({ window: shown, pointer, box }: DrawingProps) {
  const tool = useWindow(state => state.tool)
  const places = useWindow(state => state.places)
  const isEnded = useWindow(state => state.isEnded)
  if (box === null && (tool === 'pick' || places.length === 0)) return null
  const at = (place: Position) => shown.project(place[0], place[1])
  const line = withPointer(places, isEnded || tool === 'box' ? null : pointer).map(at)
  const path = line.map(([x, y], i) => `${i === 0 ? 'M' : 'L'}${x} ${y}`).join('')
  return (
    <svg className="measure-drawing" width={shown.width} height={shown.height} aria-hidden="true">
      {box !== null && <rect x={box.left} y={box.top} width={box.width} height={box.height} />}
      {line.length > 1 && (
        <>
          <path className="measure-halo" d={tool === 'area' ? `${path}Z` : path} />
          <path className={tool === 'area' ? 'measure-ring' : 'measure-line'} d={tool === 'area' ? `${path}Z` : path} />
        </>
      )}
      <path className="measure-dots" d={places.map(at).map(dotPath).join('')} />
    </svg>
  )
}
