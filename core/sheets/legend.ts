import type { SheetContent } from '../model/sheet-content.ts'
import { INK, WATER } from '../model/symbols.ts'
import { type Operator, type PathOperator, rectLine, type Stroke } from './display-list.ts'
import type { SheetFonts } from './fonts.ts'
import {
  BOUNDARY_LOOK,
  CELL_LOOK,
  DASHED_FIND_LOOK,
  FLOOD_LOOK,
  OWN_PARCEL_LOOK,
  PARCEL_INFESTED_LOOK,
  PARCEL_LOOK,
  PARCEL_NEAR_LOOK,
  patchLook,
  ROAD_LOOK,
  reachLook,
  SEARCHED_LOOK,
} from './map-looks.ts'
import { arrowMark, circleMark, findMark, smallPatchMark } from './map-marks.ts'
import { wrapText } from './wrap.ts'

/** What a map can show, in the order in which the legend names it. */
export const LEGEND_KEYS = [
  'patch-compared',
  'patch-shown',
  'small-patch-compared',
  'small-patch-shown',
  'cell',
  'find-compared',
  'find-shown',
  'dashed-find-compared',
  'dashed-find-shown',
  'arrow',
  'look-first',
  'look-next',
  'look-low',
  'water',
  'searched',
  'flood',
  'parcel-own',
  'parcel-infested',
  'parcel-near',
  'parcel',
  'road',
  'boundary',
] as const
export type LegendKey = (typeof LEGEND_KEYS)[number]

/** Every key that a map of the content may draw, for the room that its legend may need. */
export function likelyKeys(content: SheetContent): ReadonlySet<LegendKey> {
  const keys = new Set<LegendKey>()
  const bySeason = [
    ['patch', content.patches],
    ['small-patch', content.patches],
    ['find', content.finds],
    ['dashed-find', content.dashedFinds],
  ] as const
  for (const [key, things] of bySeason) for (const { season } of things) keys.add(`${key}-${season}`)
  for (const { look } of content.reaches) keys.add(look === 'none' ? 'water' : `look-${look}`)
  for (const { mark } of content.parcels) {
    keys.add(content.audience === 'owner' ? 'parcel-own' : mark === 'none' ? 'parcel' : `parcel-${mark}`)
  }
  if (content.cells.length > 0) keys.add('cell')
  if (content.arrows.length > 0) keys.add('arrow')
  if (content.searchedClear.length > 0) keys.add('searched')
  if (content.flood !== null) keys.add('flood')
  if (content.roads.length > 0) keys.add('road')
  if (content.boundary !== null) keys.add('boundary')
  return keys
}

interface Row {
  readonly label: string
  swatch(x: number, y: number): Operator[]
}

/** Swatch: width and height, points. */
const [WIDE, HIGH] = [22, 8]
/** Least room between columns. */
const GAP = 12

/** A legend laid out in columns of equal width. */
export interface Legend {
  readonly height: number
  draw(x: number, y: number): Operator[]
}

/** The legend of what was drawn, in as many columns as fit `width`; long labels take two lines. */
export function buildLegend(
  content: SheetContent,
  drawn: ReadonlySet<LegendKey>,
  width: number,
  fonts: SheetFonts,
  size: number,
  mostColumns = 6,
): Legend {
  const rows = LEGEND_KEYS.filter(key => drawn.has(key)).map(key => rowFor(key, content))
  const widths = rows.map(row => fonts.width(row.label, 'sans', size) + WIDE + 6)
  const { perColumn, columnWidths } = columnsFor(widths, width, mostColumns)
  const pitch = size * 1.18
  const wrapped = rows.map((row, index) =>
    wrapText(row.label, 'sans', size, columnWidths[Math.floor(index / perColumn)]! - WIDE - 5.9, fonts),
  )
  const lineHeight = (index: number) => Math.max(HIGH + 3.4, wrapped[index]!.length * pitch + 3)
  const heights = Array.from({ length: perColumn }, (_, line) =>
    Math.max(...wrapped.map((_lines, index) => (index % perColumn === line ? lineHeight(index) : 0))),
  )
  const leftOf = (column: number) => columnWidths.slice(0, column).reduce((sum, one) => sum + one + GAP, 0)
  return {
    height: heights.reduce((sum, height) => sum + height, 0),
    draw(x, y) {
      return rows.flatMap((row, index) => {
        const line = index % perColumn
        const left = x + leftOf(Math.floor(index / perColumn))
        const top = y + heights.slice(0, line).reduce((sum, height) => sum + height, 0)
        const first = top + HIGH / 2 + size * 0.35 - ((wrapped[index]!.length - 1) * pitch) / 2
        return [
          ...row.swatch(left, top),
          ...wrapped[index]!.map((text, k) => ({
            op: 'text' as const,
            text,
            x: left + WIDE + 6,
            y: Math.max(first, top + size * 0.8) + k * pitch,
            align: 'start' as const,
            face: 'sans' as const,
            size,
            colour: INK,
          })),
        ]
      })
    },
  }
}

/** What the legend says, in its order. */
export const legendLabels = (content: SheetContent, drawn: ReadonlySet<LegendKey>): string[] =>
  LEGEND_KEYS.filter(key => drawn.has(key)).map(key => rowFor(key, content).label)

/** Width of the legend in one column, no wider than labels that take two lines need. */
export function legendWidth(
  content: SheetContent,
  drawn: ReadonlySet<LegendKey>,
  fonts: SheetFonts,
  size: number,
): number {
  const widths = LEGEND_KEYS.filter(key => drawn.has(key)).map(key =>
    fonts.width(rowFor(key, content).label, 'sans', size),
  )
  return WIDE + 6 + Math.max(86, Math.min(104, ...[Math.max(0, ...widths)]))
}

/** The most columns whose own widths fit; a single column takes what there is. */
function columnsFor(
  widths: readonly number[],
  room: number,
  most: number,
): { perColumn: number; columnWidths: number[] } {
  for (let columns = Math.max(1, Math.min(most, widths.length)); ; columns--) {
    const perColumn = Math.max(1, Math.ceil(widths.length / columns))
    const used = Math.max(1, Math.ceil(widths.length / perColumn))
    const columnWidths = Array.from({ length: used }, (_, i) =>
      Math.max(0, ...widths.slice(i * perColumn, (i + 1) * perColumn)),
    )
    const total = columnWidths.reduce((sum, one) => sum + one + GAP, -GAP)
    if (total <= room) {
      // What is left over opens the gaps, up to a width that still reads as one row.
      return { perColumn, columnWidths: columnWidths.map(one => one + Math.min(24, (room - total) / used)) }
    }
    if (columns === 1) return { perColumn, columnWidths: [room] }
  }
}

function rowFor(key: LegendKey, content: SheetContent): Row {
  const { shown } = content.seasons
  const compared = content.seasons.compared ?? ''
  const season = key.endsWith('-compared') ? ('compared' as const) : ('shown' as const)
  const label = season === 'shown' ? shown : compared
  const middle = (draw: (x: number, y: number) => Operator | Operator[]) => (x: number, y: number) =>
    [draw(x + WIDE / 2, y + HIGH / 2)].flat()
  switch (key) {
    case 'patch-compared':
    case 'patch-shown':
      return { label: `patch, ${label}`, swatch: boxSwatch(patchLook(season)) }
    case 'small-patch-compared':
    case 'small-patch-shown':
      return { label: `small patch, ${label}`, swatch: middle((x, y) => smallPatchMark(x, y, season)) }
    case 'cell':
      return {
        label: compared === '' ? `reports of ${shown}` : `reports of ${compared} (left) and ${shown}`,
        swatch: cellSwatch,
      }
    case 'find-compared':
    case 'find-shown':
      return { label: `single find, ${label}`, swatch: middle((x, y) => findMark(x, y, season)) }
    case 'dashed-find-compared':
    case 'dashed-find-shown':
      return {
        label: `uncertain place, ${label}`,
        swatch: middle((x, y) => circleMark(x, y, 4.2, DASHED_FIND_LOOK(season))),
      }
    case 'arrow':
      return {
        label: `edge move, ${compared} to ${shown}`,
        swatch: (x, y) => arrowMark(x + 1, y + HIGH / 2, x + WIDE - 1, y + HIGH / 2),
      }
    case 'look-first':
      return { label: 'look first', swatch: lineSwatch(reachLook('first', 1)) }
    case 'look-next':
      return { label: 'look next', swatch: lineSwatch(reachLook('next', 1)) }
    case 'look-low':
      return { label: 'low', swatch: lineSwatch(reachLook('low', 1)) }
    case 'water':
      return { label: 'waterway', swatch: lineSwatch([{ colour: WATER, width: 1.2 }]) }
    case 'searched':
      return { label: `searched, not detected, ${shown}`, swatch: boxSwatch(SEARCHED_LOOK) }
    case 'flood':
      return { label: 'flood extent', swatch: boxSwatch({ fill: FLOOD_LOOK }) }
    case 'parcel-own':
      return { label: 'this land', swatch: boxSwatch({ stroke: OWN_PARCEL_LOOK }) }
    case 'parcel-infested':
      return { label: 'parcel with a confirmed plant', swatch: boxSwatch({ stroke: PARCEL_INFESTED_LOOK }) }
    case 'parcel-near':
      return { label: 'parcel near, check', swatch: boxSwatch({ stroke: PARCEL_NEAR_LOOK }) }
    case 'parcel':
      return { label: 'parcel line', swatch: boxSwatch({ stroke: { ...PARCEL_LOOK, width: 0.6 } }) }
    case 'road':
      return { label: 'road', swatch: lineSwatch([{ ...ROAD_LOOK, width: 1.2 }]) }
    case 'boundary':
      return { label: 'programme boundary', swatch: lineSwatch([BOUNDARY_LOOK]) }
  }
}

const boxSwatch =
  (look: Pick<PathOperator, 'fill' | 'stroke'>) =>
  (x: number, y: number): Operator[] => [
    { op: 'path', lines: [rectLine([x + 0.5, y + 0.5, x + WIDE - 0.5, y + HIGH - 0.5])], isClosed: true, ...look },
  ]

/** A cell with a number of each season, as on the map. */
function cellSwatch(x: number, y: number): Operator[] {
  return boxSwatch(CELL_LOOK)(x, y)
}

const lineSwatch =
  (strokes: readonly Stroke[]) =>
  (x: number, y: number): Operator[] =>
    strokes.map(stroke => ({
      op: 'path',
      lines: [Float64Array.of(x + 0.5, y + HIGH / 2, x + WIDE - 0.5, y + HIGH / 2)],
      isClosed: false,
      stroke,
    }))
