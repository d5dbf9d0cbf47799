/**
 * What each legend symbol draws. A mark is a handful of style layers; season marks are made once a season, so that a
 * change of season only changes opacities and no tile is laid out again.
 */
import type { LayerSpecification } from 'maplibre-gl'
import type { MapLayerId } from '../../core/desk-view.ts'
import type { Hatch } from '../../core/model/index.ts'
import type { Palette } from '../theme/palette.ts'

export type Expression = readonly unknown[]

/** A look has a column a season, `look/2025`, whose value says what is drawn. */
export interface LookColumn {
  readonly column: 'look' | 'flood_look'
  readonly value: 'first' | 'next' | 'low'
}

export interface Mark {
  readonly layer: MapLayerId
  readonly symbol: string
  /** Which column holds the season, or the file, for marks that are about one; or the look of a season. */
  readonly partColumn: 'season' | 'to' | 'source' | LookColumn | null
  readonly only: Expression | null
  readonly draw: (palette: Palette) => readonly Stroke[]
}

/** A style layer without its id, source and filter. */
export interface Stroke {
  readonly type: 'fill' | 'line' | 'circle' | 'symbol'
  readonly opacity: number
  readonly paint?: Readonly<Record<string, unknown>>
  readonly layout?: Readonly<Record<string, unknown>>
  /** Source layer where it is not the mark's own. */
  readonly from?: string
  readonly minzoom?: number
  readonly only?: Expression
}

export const FONT = 'IBM Plex Sans'
export const FONT_STRONG = 'IBM Plex Sans Semibold'

const is = (column: string, value: string): Expression => ['==', ['get', column], value]
const byZoom = (...stops: number[]): Expression => ['interpolate', ['exponential', 1.6], ['zoom'], ...stops]

export const hatchName = (hatch: Hatch, token: keyof Palette) => `${hatch}-${token}`

const hatched = (hatch: Hatch, token: keyof Palette, opacity = 1): Stroke => ({
  type: 'fill',
  opacity,
  paint: { 'fill-pattern': hatchName(hatch, token), 'fill-antialias': false },
})

const line = (color: string, width: unknown, extra: Partial<Stroke> & { dash?: number[] } = {}): Stroke => ({
  type: 'line',
  opacity: extra.opacity ?? 1,
  layout: { 'line-join': 'round', 'line-cap': extra.dash ? 'butt' : 'round' },
  paint: { 'line-color': color, 'line-width': width, ...(extra.dash ? { 'line-dasharray': extra.dash } : {}) },
  ...(extra.minzoom === undefined ? {} : { minzoom: extra.minzoom }),
})

const label = (
  palette: Palette,
  color: string,
  text: unknown,
  extra: Readonly<Record<string, unknown>> = {},
): Stroke => ({
  type: 'symbol',
  opacity: 1,
  layout: { 'text-field': text, 'text-font': [FONT_STRONG], 'text-size': 11.5, 'text-padding': 4, ...extra },
  paint: { 'text-color': color, 'text-halo-color': palette.halo, 'text-halo-width': 1.6 },
})

const mark = (
  layer: MapLayerId,
  symbol: string,
  draw: Mark['draw'],
  extra: Partial<Pick<Mark, 'only' | 'partColumn'>> = {},
): Mark => ({ layer, symbol, draw, partColumn: extra.partColumn ?? null, only: extra.only ?? null })

const ofSeason = { partColumn: 'season' } as const

const patchMark = (token: 'shown' | 'compared', hatch: Hatch, dash: number[] | null): Mark =>
  mark(
    'patches',
    `patch-${token}`,
    palette => [
      { type: 'fill', opacity: 0.5, paint: { 'fill-color': palette[`${token}-wash`], 'fill-antialias': false } },
      hatched(hatch, token, 0.9),
      // Far out a patch is smaller than its hatch: a heavier edge keeps it in sight as a mark of its colour.
      line(
        palette[token],
        token === 'shown' ? byZoom(10, 5, 13, 2.2) : byZoom(10, 4, 13, 1.5),
        dash === null ? {} : { dash },
      ),
      {
        ...label(palette, palette[token], ['get', 'label'], {
          'text-variable-anchor': ['bottom-left', 'bottom-right', 'top-left', 'top-right'],
          'text-radial-offset': 0.9,
        }),
        from: 'patch_marks',
        opacity: token === 'shown' ? 1 : 0,
        minzoom: 12.2,
      },
    ],
    ofSeason,
  )

const lookMarks = (prefix: 'look' | 'flood'): Mark[] => {
  const [column, token] = prefix === 'look' ? (['look', 'look'] as const) : (['flood_look', 'flood-look'] as const)
  const widths = {
    first: byZoom(9, 3, 13, 6, 17, 14),
    next: byZoom(9, 2.2, 13, 4.4, 17, 10),
    low: byZoom(9, 1.2, 13, 2.4, 17, 5),
  }
  return (['low', 'next', 'first'] as const).map(order =>
    mark(
      'reaches',
      `${prefix}-${order}`,
      palette =>
        order === 'first'
          ? [line(palette.halo, byZoom(9, 5, 13, 9, 17, 19)), line(palette[token], widths.first)]
          : [line(palette[token], widths[order], { dash: order === 'next' ? [2.4, 0.8] : [0.7, 1.5] })],
      { partColumn: { column, value: order } },
    ),
  )
}

const parcelMark = (status: string, hatch: Hatch): Mark =>
  mark(
    'parcels',
    `parcel-${status}`,
    palette => [hatched(hatch, 'parcel-mark', 0.55), line(palette['parcel-mark'], 1.2, { opacity: 0.9 })],
    { only: is('status', status) },
  )

const findMark = (symbol: string, state: string, draw: Mark['draw']): Mark =>
  mark('finds', symbol, draw, { ...ofSeason, only: is('state', state) })

const dot = (fill: string, ring: string, radius: unknown, width = 1): Stroke => ({
  type: 'circle',
  opacity: 1,
  paint: { 'circle-color': fill, 'circle-radius': radius, 'circle-stroke-color': ring, 'circle-stroke-width': width },
})

/** Width by zoom, times a factor that grows with the order of the stream (Strahler): a headwater is a hair line. */
const byOrder = (...stops: [zoom: number, width: number][]): Expression => [
  'interpolate',
  ['exponential', 1.6],
  ['zoom'],
  ...stops.flatMap(([zoom, width]) => [zoom, ['*', width, ORDER_FACTOR]]),
]

const ORDER_FACTOR: Expression = ['interpolate', ['linear'], ['coalesce', ['get', 'order'], 2], 1, 0.5, 5, 2]

const small = byZoom(10, 0.9, 13, 2, 15, 3.4, 17, 6)

/** What a file brings as points is drawn as dots; a circle layer would otherwise dot every vertex of a line. */
const referenceMark = (symbol: string, draw: Mark['draw']): Mark =>
  mark(
    'reference',
    symbol,
    palette =>
      draw(palette).map(stroke =>
        stroke.type === 'circle' ? { ...stroke, only: ['==', ['geometry-type'], 'Point'] } : stroke,
      ),
    { partColumn: 'source' },
  )

/** A sign of fixed size over the patch: an outlier is told at any scale, whatever the size of its patch. */
const outlierMark = (symbol: 'patch-outlier' | 'patch-far', outlier: string): Mark =>
  mark(
    'patches',
    symbol,
    () => [
      {
        type: 'symbol',
        opacity: 1,
        from: 'patch_marks',
        layout: { 'icon-image': symbol, 'icon-allow-overlap': true, 'icon-ignore-placement': true },
      },
    ],
    { ...ofSeason, only: is('outlier', outlier) },
  )

/** Marks from the ground up: the order of drawing. */
export const MARKS: readonly Mark[] = [
  mark('flood', 'flood', palette => [
    { type: 'fill', opacity: 0.28, paint: { 'fill-color': palette.flood } },
    line(palette['water-soft'], 0.8, { dash: [1, 2] }),
  ]),
  mark('parcels', 'parcel', palette => [line(palette.parcel, byZoom(11, 0.35, 14, 0.8, 17, 1.4))]),
  referenceMark('reference-third', palette => [
    line(palette.road, byZoom(9, 0.8, 13, 1.8, 17, 5), { dash: [1, 1.4] }),
    dot(palette.road, palette.land, small),
  ]),
  referenceMark('reference-second', palette => [
    line(palette.road, byZoom(9, 0.8, 13, 1.8, 17, 5), { dash: [5, 1.5] }),
    dot(palette.land, palette.road, small, 1.4),
  ]),
  referenceMark('reference', palette => [
    line(palette.road, byZoom(9, 0.8, 13, 2.2, 17, 8), { opacity: 0.75 }),
    line(palette.land, byZoom(9, 0.2, 13, 1.1, 17, 6)),
    dot(palette.road, palette.land, small),
  ]),
  mark(
    'searched',
    'searched',
    palette => [hatched('level', 'searched', 0.6), line(palette.searched, 0.6, { opacity: 0.7 })],
    ofSeason,
  ),
  parcelMark('downstream', 'upright'),
  parcelMark('near', 'level'),
  parcelMark('infested', 'cross'),
  mark('boundary', 'boundary', palette => [line(palette.ink, 1.2, { dash: [8, 2, 1.5, 2], opacity: 0.75 })]),
  mark('carriers', 'carrier', palette => [line(palette['ink-soft'], 1.4, { dash: [4, 2] })]),
  mark('reaches', 'reach', palette => [
    line(palette.water, byOrder([9, 0.8], [13, 2], [17, 6])),
    {
      ...label(palette, palette.water, ['get', 'name'], {
        'symbol-placement': 'line',
        'text-font': [FONT],
        'symbol-spacing': 360,
      }),
      minzoom: 12.5,
    },
  ]),
  patchMark('compared', 'diagonal', null),
  patchMark('shown', 'dots', [3, 1.6]),
  outlierMark('patch-far', 'far'),
  outlierMark('patch-outlier', 'jump'),
  ...lookMarks('flood'),
  ...lookMarks('look'),
  mark('reaches', 'reach-problem', palette => [line(palette.compared, byZoom(9, 2, 13, 4), { dash: [0.6, 0.9] })], {
    only: ['has', 'problem'],
  }),
  mark('clear', 'clear', palette => [dot(palette.land, palette.searched, small, 1.1)], ofSeason),
  findMark('find-imprecise', 'imprecise', palette => [
    dot('rgba(0,0,0,0)', palette['ink-soft'], byZoom(10, 3, 14, 7, 17, 16), 1),
  ]),
  mark('finds', 'find-held', palette => [dot(palette.land, palette.compared, byZoom(10, 2.2, 13, 3.2, 17, 7), 1.8)], {
    only: is('state', 'held'),
  }),
  findMark('find', 'counts', palette => [dot(palette.ink, palette.halo, small, 0.7)]),
  findMark('find-single', 'single', palette => [
    dot(palette.shown, palette.halo, byZoom(10, 2.4, 14, 4.4, 17, 8), 1.2),
  ]),
  mark(
    'arrows',
    'arrow',
    palette => [
      line(palette.halo, 4, { opacity: 0.8 }),
      line(palette.ink, 1.7),
      {
        type: 'symbol',
        opacity: 1,
        from: 'arrow_heads',
        layout: {
          'icon-image': 'arrow-head',
          'icon-rotate': ['get', 'bearing'],
          'icon-rotation-alignment': 'map',
          'icon-allow-overlap': true,
          'icon-ignore-placement': true,
        },
      },
      {
        ...label(palette, palette.ink, '', {
          // Beyond the head, so that two arrows that part from one place keep their figures apart.
          'text-anchor': ['case', ['>=', ['get', 'bearing'], 0], 'left', 'right'],
          'text-offset': ['case', ['>=', ['get', 'bearing'], 0], ['literal', [0.9, 0]], ['literal', [-0.9, 0]]],
        }),
        from: 'arrow_heads',
        minzoom: 11.5,
      },
    ],
    { partColumn: 'to' },
  ),
]

/** Which features a mark draws for one season or file. */
export function testOfPart({ partColumn }: Mark, part: string): Expression | null {
  if (partColumn === null) return null
  return typeof partColumn === 'string' ? is(partColumn, part) : is(`${partColumn.column}/${part}`, partColumn.value)
}

/** Whether a legend symbol is one that the map can draw. */
export const isKnownSymbol = (layer: MapLayerId, symbol: string): boolean =>
  MARKS.some(entry => entry.layer === layer && entry.symbol === symbol)

export type StyleLayer = LayerSpecification
