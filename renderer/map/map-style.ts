import regularFont from '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-400-normal.woff2?url'
import strongFont from '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-600-normal.woff2?url'
import type { FilterSpecification, LayerSpecification, StyleSpecification } from 'maplibre-gl'
import type { MapLayerId } from '../../core/desk-view.ts'
import { METRES_PER_FOOT, type Reading } from '../../core/model/index.ts'
import type { Palette } from '../theme/palette.ts'
import { DEEPEST_TILES } from '../worker/messages.ts'
import { type Expression, FONT, FONT_STRONG, MARKS, type Mark, type Stroke, testOfPart } from './marks.ts'

export const TILE_SOURCE = 'desk'

/** A style layer with what decides whether it is seen. */
export interface DrawnLayer {
  readonly id: string
  readonly mark: Mark
  /** Season or file that it draws; null where its mark is about neither. */
  readonly part: string | null
  readonly type: Stroke['type']
  readonly opacity: number
}

export const tileAddress = (version: number) => `desk://tiles/${version}/{z}/{x}/{y}`

/** Layers that answer to the pointer, best first. */
export const PICKED: readonly MapLayerId[] = [
  'finds',
  'patches',
  'clear',
  'arrows',
  'reaches',
  'searched',
  'parcels',
  'carriers',
  'reference',
]

const absolute = (address: string) => new URL(address, window.location.href).href

export interface MapStyle {
  readonly style: StyleSpecification
  readonly drawn: readonly DrawnLayer[]
}

export interface MapContent {
  readonly seasons: readonly string[]
  /** Names of the reference files. */
  readonly sources: readonly string[]
  readonly version: number
}

/** The whole style: every mark of every season and file, all unseen until the legend says otherwise. */
export function buildMapStyle(palette: Palette, { seasons, sources, version }: MapContent): MapStyle {
  const drawn: DrawnLayer[] = []
  const layers: LayerSpecification[] = [
    { id: 'ground', type: 'background', paint: { 'background-color': palette.land } },
  ]
  for (const mark of MARKS) {
    const strokes = mark.draw(palette)
    const parts = mark.partColumn === null ? [null] : mark.partColumn === 'source' ? sources : seasons
    for (const part of parts) {
      strokes.forEach((stroke, n) => {
        const id = `${mark.layer}/${mark.symbol}/${part ?? ''}/${n}`
        drawn.push({ id, mark, part, type: stroke.type, opacity: stroke.opacity })
        layers.push(buildLayer(id, mark, part, stroke))
      })
    }
  }
  layers.push(...pointerLayers(palette))
  return {
    drawn,
    style: {
      version: 8,
      'font-faces': { [FONT]: [{ url: absolute(regularFont) }], [FONT_STRONG]: [{ url: absolute(strongFont) }] },
      transition: { duration: 0, delay: 0 },
      sources: {
        [TILE_SOURCE]: { type: 'vector', tiles: [tileAddress(version)], minzoom: 5, maxzoom: DEEPEST_TILES },
      },
      layers,
    } as StyleSpecification,
  }
}

function buildLayer(id: string, mark: Mark, part: string | null, stroke: Stroke): LayerSpecification {
  const tests: Expression[] = []
  const ofPart = part === null ? null : testOfPart(mark, part)
  if (ofPart !== null) tests.push(ofPart)
  if (mark.only !== null) tests.push(mark.only)
  if (stroke.only !== undefined) tests.push(stroke.only)
  const hidden = Object.fromEntries(opacityFields(stroke.type).map(field => [field, 0]))
  return {
    id,
    type: stroke.type,
    source: TILE_SOURCE,
    'source-layer': stroke.from ?? mark.layer,
    ...(stroke.minzoom === undefined ? {} : { minzoom: stroke.minzoom }),
    ...(tests.length === 0 ? {} : { filter: ['all', ...tests] as unknown as FilterSpecification }),
    layout: { ...stroke.layout, ...(stroke.type === 'symbol' && part !== null ? { visibility: 'none' } : {}) },
    paint: { ...stroke.paint, ...hidden },
  } as LayerSpecification
}

export type OpacityField =
  | 'fill-opacity'
  | 'line-opacity'
  | 'circle-opacity'
  | 'circle-stroke-opacity'
  | 'text-opacity'
  | 'icon-opacity'

export function opacityFields(type: Stroke['type']): readonly OpacityField[] {
  if (type === 'fill') return ['fill-opacity']
  if (type === 'line') return ['line-opacity']
  if (type === 'circle') return ['circle-opacity', 'circle-stroke-opacity']
  return ['text-opacity', 'icon-opacity']
}

/** Style layers of the pointer's rings begin with this; they stay on top of every order. */
export const POINTER = 'pointer/'

/** Rings around what is selected; what the pointer is over is outlined above the map, so that it need not be drawn anew. */
function pointerLayers(palette: Palette): LayerSpecification[] {
  const strength = ['case', ['boolean', ['feature-state', 'selected'], false], 1, 0]
  const color = palette.focus
  const rings = ['patches', 'parcels', 'reaches', 'searched', 'carriers', 'reference', 'arrows'].map(layer => ({
    id: `${POINTER}${layer}`,
    type: 'line',
    source: TILE_SOURCE,
    'source-layer': layer,
    layout: { 'line-join': 'round', 'line-cap': 'round' },
    paint: { 'line-color': color, 'line-width': 4, 'line-opacity': strength },
  }))
  const dots = ['finds', 'clear'].map(layer => ({
    id: `${POINTER}${layer}`,
    type: 'circle',
    source: TILE_SOURCE,
    'source-layer': layer,
    paint: {
      'circle-radius': ['interpolate', ['linear'], ['zoom'], 10, 4, 13, 6, 16, 10],
      'circle-opacity': 0,
      'circle-stroke-color': color,
      'circle-stroke-width': 2.4,
      'circle-stroke-opacity': strength,
    },
  }))
  return [...rings, ...dots] as unknown as LayerSpecification[]
}

/** An arrow's length in the reader's units; the tile holds metres. */
export function arrowLabel(units: Reading['units']): Expression {
  const isMetric = units === 'hectares-metres'
  const metres: Expression = ['to-number', ['get', 'label']]
  const value: Expression = isMetric ? metres : ['/', metres, METRES_PER_FOOT]
  const sign: Expression = ['case', ['>', metres, 0], '+', '']
  return ['concat', sign, ['to-string', ['round', value]], isMetric ? ' m' : ' ft']
}
