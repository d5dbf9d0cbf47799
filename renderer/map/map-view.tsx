import { useEffect, useMemo, useRef, useState } from 'react'
import { desk, showFailure } from '../state/desk-session.ts'
import { addPlace } from '../state/measuring.ts'
import { selectFeatures, selectInBox } from '../state/selecting.ts'
import { useWindow } from '../state/use-window.ts'
import { windowStore } from '../state/window-state.ts'
import type { CanvasBox } from './box-drag.ts'
import { FeatureCardPanel } from './feature-card.tsx'
import { HoverTip } from './hover-tip.tsx'
import { MapController, type Picked, type PointerPlace } from './map-controller.ts'
import { MapFoot } from './map-foot.tsx'
import { MapFrame } from './map-frame.tsx'
import { MapTools } from './map-tools.tsx'
import { type MapWindow, windowOfMap } from './map-window.ts'
import { MeasureDrawing, MeasurePanel } from './measure.tsx'

/** The map with what stands around it: frame, tools, readout; or a plain word where it cannot be drawn. */
export function MapView() {
  const holder = useRef<HTMLDivElement>(null)
  const [controller, setController] = useState<MapController | null>(null)
  const [place, setPlace] = useState<PointerPlace | null>(null)
  const [mapWindow, setMapWindow] = useState<MapWindow | null>(null)
  const [box, setBox] = useState<CanvasBox | null>(null)
  // Counts the maps: one whose drawing context is gone gives way to a new one.
  const [turn, setTurn] = useState(0)
  const isMapAbsent = useWindow(state => state.isMapAbsent)

  useEffect(() => {
    void turn
    if (holder.current === null) return
    const made = startController(holder.current, {
      setPlace,
      setMapWindow,
      setBox,
      renew: () => setTurn(before => before + 1),
    })
    setController(made)
    return () => {
      setController(null)
      made?.destroy()
    }
  }, [turn])
  useFollowState(controller)

  if (isMapAbsent) return <MapAbsent />
  return (
    <section className="map" aria-label="Map">
      <div className="map-canvas" ref={holder} />
      {mapWindow !== null && <MeasureDrawing window={mapWindow} pointer={place} box={box} />}
      {mapWindow !== null && <MapFrame window={mapWindow} />}
      <MapTools controller={controller} />
      <MeasurePanel pointer={place} />
      <FeatureCardPanel />
      {mapWindow !== null && <HoverTip place={place} window={mapWindow} />}
      <MapFoot place={place} window={mapWindow} />
    </section>
  )
}

interface Faces {
  setPlace(place: PointerPlace | null): void
  setMapWindow(window: MapWindow): void
  setBox(box: CanvasBox | null): void
  /** Asks for a new map in this one's place. */
  renew(): void
}

function startController(container: HTMLElement, faces: Faces): MapController | null {
  const held: { controller: MapController | null; isWaiting: boolean } = { controller: null, isWaiting: false }
  const showWindow = () => {
    held.isWaiting = false
    if (held.controller !== null) faces.setMapWindow(windowOfMap(held.controller.map))
  }
  try {
    const controller = new MapController(
      container,
      'Map of the district. Arrow keys move it, plus and minus zoom; every feature is also in the table.',
      windowStore.get().reading.units,
      {
        tile: (z, x, y) => {
          performance.mark('tile-asked')
          return desk().tile(z, x, y)
        },
        onMove: () => {
          if (held.isWaiting) return
          held.isWaiting = true
          requestAnimationFrame(showWindow)
        },
        onPointer: (place, hovered) => {
          faces.setPlace(place)
          showHovered(hovered)
        },
        onPick: (picked, isAdding) => void pick(picked, isAdding),
        onPlace: addPlace,
        onBoxDrawn: faces.setBox,
        onBox: drawn => void selectInBox(drawn),
        onGone: faces.renew,
      },
    )
    held.controller = controller
    controller.map.on('load', showWindow)
    controller.map.on('idle', showWindow)
    controller.map.on('resize', showWindow)
    controller.map.on('error', event => showFailure(event.error))
    return controller
  } catch {
    windowStore.set({ isMapAbsent: true })
    return null
  }
}

function showHovered(hovered: Picked | null): void {
  const before = windowStore.get().hovered
  if (before?.layer !== hovered?.layer || before?.fid !== hovered?.fid) windowStore.set({ hovered })
}

/** A click selects; with shift it adds to or takes from what is selected of the same layer. */
async function pick(picked: Picked | null, isAdding: boolean): Promise<void> {
  const { selection } = windowStore.get()
  if (picked === null) return isAdding ? undefined : selectFeatures(null)
  if (!isAdding || selection?.layer !== picked.layer) return selectFeatures({ layer: picked.layer, fids: [picked.fid] })
  const others = selection.fids.filter(fid => fid !== picked.fid)
  const fids = others.length === selection.fids.length ? [...others, picked.fid] : others
  return selectFeatures(fids.length === 0 ? null : { layer: picked.layer, fids })
}

interface CameraPlace {
  readonly center: [number, number]
  readonly zoom: number
}

/** Hands the window's state to the map, each part when it changes. */
function useFollowState(controller: MapController | null): void {
  const overview = useWindow(state => state.overview)
  const version = useWindow(state => state.map.version)
  const legend = useWindow(state => state.view?.legend)
  const rows = useWindow(state => state.rows)
  const selection = useWindow(state => state.selection)
  const goTo = useWindow(state => state.goTo)
  const order = useWindow(state => state.order)
  const tool = useWindow(state => state.tool)
  const layers = useWindow(state => state.map.layers)
  const units = useWindow(state => state.reading.units)
  const theme = useWindow(state => state.theme)
  const shownBy = useRef<MapController | null>(null)
  const camera = useRef<CameraPlace | null>(null)
  const seasons = useMemo(() => overview?.seasons.map(band => band.season) ?? [], [overview])

  const sources = useMemo(() => layers.flatMap(layer => layer.sources), [layers])

  useEffect(() => {
    if (seasons.length > 0) controller?.setContent({ seasons, sources, version })
  }, [controller, seasons, sources, version])
  useEffect(() => controller?.setOrder(order), [controller, order])
  useEffect(() => controller?.setTool(tool), [controller, tool])
  useEffect(() => controller?.setLegend(legend ?? [], rows), [controller, legend, rows])
  useEffect(() => controller?.setSelection(selection), [controller, selection])
  useEffect(() => controller?.setUnits(units), [controller, units])
  useEffect(() => {
    if (controller === null || goTo === null) return
    const isFirst = shownBy.current !== controller
    // A map that was put up anew takes over where the last one looked.
    if (isFirst && camera.current !== null) controller.map.jumpTo(camera.current)
    else controller.goTo(goTo.box, isFirst)
    shownBy.current = controller
  }, [controller, goTo])
  useEffect(() => {
    if (controller === null) return
    return () => {
      camera.current = { center: controller.map.getCenter().toArray(), zoom: controller.map.getZoom() }
    }
  }, [controller])
  useEffect(() => {
    void theme
    if (controller === null) return
    const dark = window.matchMedia('(prefers-color-scheme: dark)')
    const restyle = () => requestAnimationFrame(() => controller.setTheme())
    restyle()
    dark.addEventListener('change', restyle)
    return () => dark.removeEventListener('change', restyle)
  }, [controller, theme])
}

function MapAbsent() {
  return (
    <section className="map map-absent" aria-label="Map">
      <div>
        <h2>The map cannot be drawn here</h2>
        <p>
          This browser offers no WebGL 2. Everything else works: the answers, the seasons, the sheets, and every feature
          of the map in the table below (press T).
        </p>
      </div>
    </section>
  )
}
