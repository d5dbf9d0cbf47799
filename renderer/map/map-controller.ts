import {
  addProtocol,
  type LngLatBoundsLike,
  Map as MapLibreMap,
  type MapMouseEvent,
  setWorkerUrl,
  type VectorTileSource,
} from 'maplibre-gl'
import mapWorkerUrl from 'maplibre-gl/dist/maplibre-gl-worker.mjs?worker&url'
import type { LegendRow, MapLayerId } from '../../core/desk-view.ts'
import type { Box, Position, Reading } from '../../core/model/index.ts'
import type { MapTool, RowState, Selection } from '../state/window-state.ts'
import { drawHatch } from '../theme/hatches.ts'
import { type Palette, readPalette } from '../theme/palette.ts'
import { drawArrowHead } from './arrow-head.ts'
import { type CanvasBox, watchBoxDrags } from './box-drag.ts'
import { watchContext } from './context-watch.ts'
import { layerStrength, orderLayers } from './legend-state.ts'
import {
  arrowLabel,
  buildMapStyle,
  type DrawnLayer,
  type MapContent,
  opacityFields,
  PICKED,
  POINTER,
  TILE_SOURCE,
  tileAddress,
} from './map-style.ts'
import { hatchName } from './marks.ts'
import { drawOutlierSign } from './outlier-sign.ts'

export interface Picked {
  readonly layer: MapLayerId
  readonly fid: number
}

export interface PointerPlace {
  readonly longitude: number
  readonly latitude: number
  readonly x: number
  readonly y: number
}

export interface MapListeners {
  tile(z: number, x: number, y: number): Promise<Uint8Array>
  onMove(): void
  onPointer(place: PointerPlace | null, hovered: Picked | null): void
  onPick(picked: Picked | null, isAdding: boolean): void
  /** A click while something is measured. */
  onPlace(place: Position): void
  onBoxDrawn(box: CanvasBox | null): void
  onBox(box: Box): void
  /** The drawing context is gone for good; this map draws no more. */
  onGone(): void
}

const HATCHES = [
  ['dots', 'shown'],
  ['diagonal', 'compared'],
  ['level', 'searched'],
  ['cross', 'parcel-mark'],
  ['level', 'parcel-mark'],
  ['upright', 'parcel-mark'],
] as const

/** Source layers of signs that stand for a feature of a layer. */
const SIGNS: Readonly<Partial<Record<MapLayerId, string>>> = { patches: 'patch_marks', arrows: 'arrow_heads' }

/** After the change of season has been answered. */
const WORDS_AFTER_MS = 120

const isPlacedBySeason = ({ type, mark }: DrawnLayer) => type === 'symbol' && mark.partColumn !== null

setWorkerUrl(new URL(mapWorkerUrl, window.location.href).href)

/** The map on the page, driven by plain calls; throws where the browser has no WebGL 2. */
export class MapController {
  readonly map: MapLibreMap
  #drawn: readonly DrawnLayer[] = []
  #content: MapContent = { seasons: [], sources: [], version: 0 }
  #order: readonly string[] = []
  #tool: MapTool = 'pick'
  #isBoxing = false
  #wordsTimer: ReturnType<typeof setTimeout> | undefined
  #legend: readonly LegendRow[] = []
  #rows: Readonly<Record<string, RowState>> = {}
  #strengths = new Map<string, number>()
  #seen: string[] = []
  #units: Reading['units']
  #selection: Selection | null = null
  #hovered: Picked | null = null
  readonly #listeners: MapListeners

  constructor(container: HTMLElement, ariaLabel: string, units: Reading['units'], listeners: MapListeners) {
    this.#listeners = listeners
    this.#units = units
    addProtocol('desk', async request => {
      const [z, x, y] = request.url.split('/').slice(-3).map(Number)
      const bytes = await listeners.tile(z!, x!, y!)
      return { data: bytes.buffer as ArrayBuffer }
    })
    this.map = new MapLibreMap({
      container,
      style: this.#buildStyle(),
      attributionControl: false,
      dragRotate: false,
      pitchWithRotate: false,
      touchPitch: false,
      maxPitch: 0,
      fadeDuration: 0,
      maxZoom: 20,
      boxZoom: false,
      renderWorldCopies: false,
      locale: { 'Map.Title': ariaLabel },
    })
    this.map.touchZoomRotate.disableRotation()
    this.map.keyboard.disableRotation()
    // A tile can ask for an image before its style has told that it is loaded.
    this.map.setMissingStyleImageResolver(() => this.#addImages())
    this.map.on('style.load', () => this.#dress())
    this.map.on('move', () => listeners.onMove())
    this.map.on('mousemove', event => this.#point(event))
    this.map.on('mouseout', () => this.#leave())
    this.map.on('click', event => this.#press(event))
    watchContext(this.map, () => listeners.onGone())
    watchBoxDrags(this.map, {
      mayBegin: event => this.#tool === 'box' || (this.#tool === 'pick' && event.shiftKey),
      onDraw: box => {
        this.#isBoxing = box !== null
        listeners.onBoxDrawn(box)
      },
      onDone: box => listeners.onBox(box),
    })
  }

  /** New layers or seasons: tiles are asked for again, the style only changes with the seasons. */
  setContent(content: MapContent): void {
    const partsOf = ({ seasons, sources }: MapContent) => JSON.stringify([seasons, sources])
    const isSame = partsOf(content) === partsOf(this.#content)
    const before = this.#content.version
    this.#content = content
    if (!isSame) this.#restyle()
    else if (before !== content.version)
      this.map.getSource<VectorTileSource>(TILE_SOURCE)?.setTiles([tileAddress(content.version)])
  }

  setTheme(): void {
    this.#restyle()
  }

  setUnits(units: Reading['units']): void {
    this.#units = units
    this.#writeUnits()
  }

  setLegend(legend: readonly LegendRow[], rows: Readonly<Record<string, RowState>>): void {
    this.#legend = legend
    this.#rows = rows
    this.#writeStrengths()
  }

  /** Legend keys from the top down, as they were moved. */
  setOrder(order: readonly string[]): void {
    this.#order = order
    const top = this.map.getLayersOrder().find(id => id.startsWith(POINTER))
    if (top === undefined) return
    for (const id of orderLayers(this.#drawn, order)) if (this.map.getLayer(id)) this.map.moveLayer(id, top)
  }

  setTool(tool: MapTool): void {
    this.#tool = tool
    this.#setHovered(null)
    this.map.getCanvas().style.cursor = tool === 'pick' ? '' : 'crosshair'
    if (tool === 'length' || tool === 'area') this.map.doubleClickZoom.disable()
    else this.map.doubleClickZoom.enable()
  }

  setSelection(selection: Selection | null): void {
    this.#mark(this.#selection, false)
    this.#selection = selection
    this.#mark(selection, true)
  }

  goTo(box: Box, isAtOnce: boolean): void {
    const bounds: LngLatBoundsLike = [box[0], box[1], box[2], box[3]]
    const isStill = isAtOnce || window.matchMedia('(prefers-reduced-motion: reduce)').matches
    this.map.fitBounds(bounds, { padding: 48, maxZoom: 16.5, duration: isStill ? 0 : 500 })
  }

  destroy(): void {
    clearTimeout(this.#wordsTimer)
    this.map.remove()
  }

  #buildStyle() {
    const { drawn, style } = buildMapStyle(readPalette(), this.#content)
    this.#drawn = drawn
    const place = new Map(orderLayers(drawn, this.#order).map((id, at) => [id, at]))
    const placeOf = (id: string) => place.get(id) ?? (id.startsWith(POINTER) ? place.size : -1)
    return { ...style, layers: [...style.layers].sort((a, b) => placeOf(a.id) - placeOf(b.id)) }
  }

  #restyle(): void {
    this.#strengths.clear()
    this.map.setStyle(this.#buildStyle(), { diff: false })
  }

  /** Hatches, opacities and states, which a new style does not bring. */
  #dress(): void {
    this.#addImages()
    this.#strengths.clear()
    this.#writeStrengths()
    this.#writeUnits()
    this.#mark(this.#selection, true)
  }

  #addImages(): void {
    const palette: Palette = readPalette()
    for (const [hatch, token] of HATCHES) {
      const name = hatchName(hatch, token)
      if (!this.map.hasImage(name)) this.map.addImage(name, drawHatch(hatch, palette[token]), { pixelRatio: 2 })
    }
    if (!this.map.hasImage('arrow-head'))
      this.map.addImage('arrow-head', drawArrowHead(palette.ink, palette.halo), { pixelRatio: 2 })
    for (const [name, isAgeUnknown] of [
      ['patch-outlier', false],
      ['patch-far', true],
    ] as const)
      if (!this.map.hasImage(name))
        this.map.addImage(name, drawOutlierSign(palette.shown, palette.halo, isAgeUnknown), { pixelRatio: 2 })
  }

  #writeStrengths(): void {
    const seen: string[] = []
    for (const layer of this.#drawn) {
      const strength = layerStrength(layer, this.#legend, this.#rows)
      if (strength > 0) seen.push(layer.id)
      if (this.#strengths.get(layer.id) === strength) continue
      if (this.map.getLayer(layer.id) === undefined) continue
      this.#strengths.set(layer.id, strength)
      for (const field of opacityFields(layer.type))
        this.map.setPaintProperty(layer.id, field, layer.opacity * strength)
    }
    this.#seen = seen
    clearTimeout(this.#wordsTimer)
    this.#wordsTimer = setTimeout(() => this.#writeWords(), WORDS_AFTER_MS)
  }

  /** Words of seasons that are not seen would still keep others from their place; laying them out anew can wait. */
  #writeWords(): void {
    for (const layer of this.#drawn) {
      if (!isPlacedBySeason(layer) || this.map.getLayer(layer.id) === undefined) continue
      const isSeen = layer.opacity * (this.#strengths.get(layer.id) ?? 0) > 0
      this.map.setLayoutProperty(layer.id, 'visibility', isSeen ? 'visible' : 'none')
    }
  }

  #writeUnits(): void {
    const text = arrowLabel(this.#units)
    for (const { id, mark, type } of this.#drawn)
      if (mark.layer === 'arrows' && type === 'symbol' && id.endsWith('/3') && this.map.getLayer(id) !== undefined)
        this.map.setLayoutProperty(id, 'text-field', text as never)
  }

  #mark(selection: Selection | null, isOn: boolean): void {
    if (this.map.getSource(TILE_SOURCE) === undefined) return
    for (const fid of selection?.fids ?? [])
      this.map.setFeatureState({ source: TILE_SOURCE, sourceLayer: selection!.layer, id: fid }, { selected: isOn })
  }

  #pickAt(event: MapMouseEvent): Picked | null {
    const { x, y } = event.point
    const layers = this.#seen.filter(id => this.map.getLayer(id) !== undefined)
    if (layers.length === 0) return null
    const found = this.map.queryRenderedFeatures(
      [
        [x - 4, y - 4],
        [x + 4, y + 4],
      ],
      { layers },
    )
    for (const layer of PICKED) {
      const names = [layer, SIGNS[layer]]
      const hit = found.find(
        ({ sourceLayer, id }) => names.includes(sourceLayer as MapLayerId) && typeof id === 'number',
      )
      if (hit !== undefined) return { layer, fid: hit.id as number }
    }
    return null
  }

  #press(event: MapMouseEvent): void {
    const { lng, lat } = event.lngLat
    if (this.#tool === 'length' || this.#tool === 'area') this.#listeners.onPlace([lng, lat])
    else if (this.#tool === 'pick') this.#listeners.onPick(this.#pickAt(event), event.originalEvent.shiftKey)
  }

  #point(event: MapMouseEvent): void {
    const hovered = this.map.isMoving() || this.#isBoxing || this.#tool !== 'pick' ? null : this.#pickAt(event)
    this.#setHovered(hovered)
    const { lng, lat } = event.lngLat
    this.#listeners.onPointer({ longitude: lng, latitude: lat, x: event.point.x, y: event.point.y }, hovered)
  }

  #leave(): void {
    this.#setHovered(null)
    this.#listeners.onPointer(null, null)
  }

  #setHovered(hovered: Picked | null): void {
    const before = this.#hovered
    if (before?.layer === hovered?.layer && before?.fid === hovered?.fid) return
    this.#hovered = hovered
    if (this.#tool === 'pick') this.map.getCanvas().style.cursor = hovered === null ? '' : 'pointer'
  }
}
