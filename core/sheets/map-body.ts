import { gridConvergence } from '../geo/index.ts'
import { formatQuantity } from '../model/quantity.ts'
import type { SheetContent, SheetParcel, SheetReach, SheetSeason } from '../model/sheet-content.ts'
import { INK, SEASON_SYMBOLS, SOFT_INK, WATER } from '../model/symbols.ts'
import {
  type GroupOperator,
  linePath,
  type Operator,
  type PathOperator,
  type Stroke,
  type TextOperator,
} from './display-list.ts'
import type { SheetFonts } from './fonts.ts'
import { LabelField, placesRound } from './labels.ts'
import type { LegendKey } from './legend.ts'
import { joinPieces, namePlaces } from './line-names.ts'
import {
  BOUNDARY_LOOK,
  CELL_LOOK,
  DASHED_FIND_LOOK,
  FLOOD_LOOK,
  OWN_PARCEL_LOOK,
  PAPER,
  PARCEL_INFESTED_LOOK,
  PARCEL_LOOK,
  PARCEL_NEAR_LOOK,
  patchLook,
  ROAD_LOOK,
  reachLook,
  SEARCHED_LOOK,
  waterLineWidth,
} from './map-looks.ts'
import { arrowMark, circleMark, findMark, smallPatchMark } from './map-marks.ts'
import { boundsOf, grown, isInside, lineOnPage, polygonOnPage } from './on-page.ts'
import type { PageTransform } from './page-transform.ts'
import { boxOfRect, type TextBox } from './text-box.ts'

/** The drawn map: its layers, bottom first, and what the legend has to name. */
export interface MapBody {
  readonly layers: readonly GroupOperator[]
  readonly drawn: ReadonlySet<LegendKey>
}

/** Patches smaller than this on paper (points) are drawn as a dot: no hatch shows in them. */
const LEAST_PATCH = 5.5
const LEAST_ARROW = 20
const MOST_ARROW = 64

interface Board {
  readonly content: SheetContent
  readonly transform: PageTransform
  readonly fonts: SheetFonts
  readonly labels: LabelField
  readonly drawn: Set<LegendKey>
  /** Lines from things to names that stand away from them. */
  readonly leaders: Operator[]
  /** Rings of the patches shown, which names of lines keep off. */
  readonly patchRings: Float64Array[]
}

/** Draws what the content holds inside the map frame; every layer is clipped, and cut, to it. */
export function drawMapBody(content: SheetContent, transform: PageTransform, fonts: SheetFonts): MapBody {
  const board: Board = {
    content,
    transform,
    fonts,
    labels: new LabelField(fonts, grown(transform.box, -3)),
    drawn: new Set(),
    leaders: [],
    patchRings: [],
  }
  const layers: [string, Operator[]][] = [
    ['Flood extent', drawFlood(board)],
    ['Ground searched', drawSearched(board)],
    ['Parcels', drawParcels(board)],
    ['Roads', drawRoads(board)],
    ['Boundary', drawBoundary(board)],
    ['Cells', drawCells(board)],
    ['Patches before', drawPatches(board, 'compared')],
    ['Patches', drawPatches(board, 'shown')],
    ['Water', drawReaches(board)],
    ['Finds', drawFinds(board)],
    ['Moves', drawArrows(board)],
    ['Names', drawNames(board)],
  ]
  return {
    layers: layers
      .filter(([, items]) => items.length > 0)
      .map(([layer, items]) => ({ op: 'group', layer, clip: transform.box, items })),
    drawn: board.drawn,
  }
}

function drawFlood({ content, transform, drawn }: Board): Operator[] {
  if (content.flood === null) return []
  return area(polygonOnPage(content.flood, transform), { fill: FLOOD_LOOK }, () => drawn.add('flood'))
}

function drawSearched({ content, transform, drawn }: Board): Operator[] {
  return content.searchedClear.flatMap(shape =>
    area(polygonOnPage(shape, transform), SEARCHED_LOOK, () => drawn.add('searched')),
  )
}

function drawParcels({ content, transform, drawn }: Board): Operator[] {
  const stroked = (parcels: readonly SheetParcel[], stroke: Stroke, key: LegendKey) =>
    area(
      parcels.flatMap(parcel => polygonOnPage(parcel.outline, transform)),
      { stroke },
      () => drawn.add(key),
    )
  if (content.audience === 'owner') return stroked(content.parcels, OWN_PARCEL_LOOK, 'parcel-own')
  const marked = (mark: SheetParcel['mark']) => content.parcels.filter(parcel => parcel.mark === mark)
  return [
    ...stroked(marked('none'), PARCEL_LOOK, 'parcel'),
    ...stroked(marked('near'), PARCEL_NEAR_LOOK, 'parcel-near'),
    ...stroked(marked('infested'), PARCEL_INFESTED_LOOK, 'parcel-infested'),
  ]
}

function drawRoads({ content, transform, drawn, labels }: Board): Operator[] {
  const lines = content.roads.flatMap(road => lineOnPage(road.path, transform))
  if (lines.length === 0) return []
  drawn.add('road')
  for (const line of lines) avoidLine(labels, line)
  return [{ op: 'path', lines, isClosed: false, stroke: ROAD_LOOK }]
}

function drawBoundary({ content, transform, drawn }: Board): Operator[] {
  if (content.boundary === null) return []
  const rings = content.boundary.flat().flatMap(ring => lineOnPage(ring, transform))
  if (rings.length === 0) return []
  drawn.add('boundary')
  return [{ op: 'path', lines: rings, isClosed: false, stroke: BOUNDARY_LOOK }]
}

/** Cells with their numbers side by side: the season compared left of the middle, the one shown right of it. */
function drawCells({ content, transform, drawn, labels }: Board): Operator[] {
  return content.cells.flatMap(({ outline, shown, compared }) => {
    const rings = polygonOnPage(outline, transform)
    if (rings.length === 0) return []
    const [left, top, right, bottom] = boundsOf(rings)
    const numbers = (x: number, y: number) => [
      ...cellNumber(compared, 'compared', x - 1.5, y),
      ...cellNumber(shown, 'shown', x + 1.5, y),
    ]
    labels.placeTogether(placesWithin(left, top, right, bottom, numbers), 0.6)
    return area(rings, CELL_LOOK, () => drawn.add('cell'))
  })
}

function cellNumber(reports: number | null, season: SheetSeason, x: number, y: number): TextOperator[] {
  if (reports === null) return []
  const isShown = season === 'shown'
  const look = { face: isShown ? 'sans-bold' : 'sans', size: isShown ? 8.5 : 7.5, halo: PAPER } as const
  const align = isShown ? 'start' : 'end'
  return [{ op: 'text', text: String(reports), x, y, align, colour: SEASON_SYMBOLS[season].stroke, ...look }]
}

/** Places inside a rectangle, from its middle outward. */
function placesWithin<T>(
  left: number,
  top: number,
  right: number,
  bottom: number,
  at: (x: number, y: number) => T,
): T[] {
  const [middleX, middleY] = [(left + right) / 2, (top + bottom) / 2 + 3]
  const offsets = [-3, -2, -1, 0, 1, 2, 3].flatMap(i => [-3, -2, -1, 0, 1, 2, 3].map(j => [i, j] as const))
  const ordered = offsets.sort((a, b) => Math.hypot(...a) - Math.hypot(...b))
  return ordered.map(([i, j]) =>
    at(middleX + (i / 3) * ((right - left) / 2 - 12), middleY + (j / 3) * ((bottom - top) / 2 - 7)),
  )
}

function drawPatches(board: Board, season: SheetSeason): Operator[] {
  const { content, transform, drawn, labels } = board
  const items: Operator[] = []
  const small: Operator[] = []
  const look = patchLook(season)
  for (const patch of content.patches.filter(one => one.season === season)) {
    const rings = polygonOnPage(patch.outline, transform)
    const first = patch.outline[0]?.[0]
    if (first === undefined) continue
    // At a small scale a patch shrinks to nothing; where it stands is told by its first corner.
    const onPage = rings.length > 0 ? rings : [Float64Array.of(...transform.positionToPage(first[0]!, first[1]!))]
    const [left, top, right, bottom] = boundsOf(onPage)
    if (Math.max(right - left, bottom - top) >= LEAST_PATCH) {
      items.push(...area(rings, look, () => drawn.add(`patch-${season}`)))
      if (season === 'shown') board.patchRings.push(...rings)
      continue
    }
    const [x, y] = [(left + right) / 2, (top + bottom) / 2]
    if (!isInside(x, y, transform.box)) continue
    small.push(smallPatchMark(x, y, season))
    labels.block(boxOfRect(x - 2, y - 2, x + 2, y + 2))
    drawn.add(`small-patch-${season}`)
  }
  return [...items, ...small]
}

function drawReaches({ content, transform, drawn, labels }: Board): Operator[] {
  const items: Operator[] = []
  for (const look of ['none', 'low', 'next', 'first'] as const) {
    const groups = new Map<number, Float64Array[]>()
    for (const reach of content.reaches.filter(one => one.look === look)) {
      const lines = lineOnPage(reach.path, transform)
      if (lines.length === 0) continue
      const width = Math.round(waterLineWidth(reach.width, transform.metresPerPoint) * 4) / 4
      groups.set(width, [...(groups.get(width) ?? []), ...lines])
    }
    if (groups.size > 0) drawn.add(look === 'none' ? 'water' : `look-${look}`)
    const widths = [...groups.keys()].sort((a, b) => a - b)
    items.push(...widths.flatMap(width => strokesOf(joinPieces(groups.get(width)!), reachLook(look, width))))
    const mark = look === 'first' || look === 'next' ? blockLine : avoidLine
    for (const line of [...groups.values()].flat()) mark(labels, line)
  }
  return items
}

/** Keeps names off a bold line. */
const blockLine = (labels: LabelField, line: Float64Array): void => alongLine(line, box => labels.block(box))
/** Keeps names off a fine line where they can. */
const avoidLine = (labels: LabelField, line: Float64Array): void => alongLine(line, box => labels.avoid(box))

function alongLine(line: Float64Array, take: (box: TextBox) => void): void {
  for (let i = 0; i + 3 < line.length; i += 2) {
    const steps = Math.max(1, Math.ceil(Math.hypot(line[i + 2]! - line[i]!, line[i + 3]! - line[i + 1]!) / 4))
    for (let k = 0; k < steps; k++) {
      const x = line[i]! + ((line[i + 2]! - line[i]!) * k) / steps
      const y = line[i + 1]! + ((line[i + 3]! - line[i + 1]!) * k) / steps
      take(boxOfRect(x - 1.6, y - 1.6, x + 1.6, y + 1.6))
    }
  }
}

/** Keeps names off a hatched shape: its rim, and the rim drawn in toward the middle. */
function blockRing(labels: LabelField, ring: Float64Array): void {
  const [left, top, right, bottom] = boundsOf([ring])
  const [x, y] = [(left + right) / 2, (top + bottom) / 2]
  const rounds = Math.max(1, Math.ceil(Math.max(right - left, bottom - top) / 24))
  for (let k = 1; k <= rounds; k++) {
    const share = k / rounds
    blockLine(
      labels,
      ring.map((value, i) => (i % 2 === 0 ? x : y) + share * (value - (i % 2 === 0 ? x : y))),
    )
  }
}

function strokesOf(lines: Float64Array[], strokes: readonly Stroke[]): PathOperator[] {
  return strokes.map(stroke => ({ op: 'path', lines, isClosed: false, stroke }))
}

function drawFinds({ content, transform, drawn, labels }: Board): Operator[] {
  const items: Operator[] = []
  for (const find of content.dashedFinds) {
    const [x, y] = transform.positionToPage(find.longitude, find.latitude)
    if (!isInside(x, y, transform.box)) continue
    items.push(circleMark(x, y, Math.max(find.radius / transform.metresPerPoint, 2.5), DASHED_FIND_LOOK(find.season)))
    drawn.add(`dashed-find-${find.season}`)
  }
  for (const season of ['compared', 'shown'] as const) {
    for (const find of content.finds.filter(one => one.season === season)) {
      const [x, y] = transform.positionToPage(find.longitude, find.latitude)
      if (!isInside(x, y, transform.box)) continue
      items.push(findMark(x, y, season))
      labels.block(boxOfRect(x - 3, y - 3, x + 3, y + 3))
      drawn.add(`find-${season}`)
    }
  }
  return items
}

function drawArrows({ content, transform, drawn, labels }: Board): Operator[] {
  const items: Operator[] = []
  for (const arrow of content.arrows) {
    const [x, y] = transform.positionToPage(arrow.longitude, arrow.latitude)
    if (!isInside(x, y, transform.box)) continue
    // True azimuth to direction on the page, whose up is grid north.
    const turn = ((arrow.azimuth - gridConvergence(transform.frame, arrow.longitude, arrow.latitude)) * Math.PI) / 180
    const length = Math.min(MOST_ARROW, Math.max(LEAST_ARROW, arrow.length / transform.metresPerPoint))
    const [tipX, tipY] = [x + length * Math.sin(turn), y - length * Math.cos(turn)]
    items.push(...arrowMark(x, y, tipX, tipY))
    drawn.add('arrow')
    blockLine(labels, Float64Array.of(x, y, tipX, tipY))
    const text = formatQuantity(arrow.label, content.reading).replaceAll(' ', '\u00a0')
    labels.place(placesRound({ text, face: 'sans-bold', size: 7.5, colour: INK, halo: PAPER }, tipX, tipY, 5))
  }
  return items
}

/** Names in order of weight: outlier patches, water, other patches, roads. */
function drawNames(board: Board): Operator[] {
  placePatchNames(board, true)
  for (const ring of board.patchRings) blockRing(board.labels, ring)
  const groups: [readonly { path: Float64Array; name: string | null }[], Parameters<typeof placeLineNames>[2]][] = [
    [[...board.content.reaches].sort(byWidth), { face: 'sans-italic', size: 8, colour: WATER }],
  ]
  for (const [lines, look] of groups) placeLineNames(board, lines, look)
  placePatchNames(board, false)
  if (board.content.audience === 'owner') placeParcelNames(board)
  placeLineNames(board, board.content.roads, { face: 'sans', size: 6.5, colour: SOFT_INK })
  return [...board.leaders, ...board.labels.placed]
}

const byWidth = (a: SheetReach, b: SheetReach) => (b.width ?? 0) - (a.width ?? 0)

/** Names of patches beside them; those of outliers, which must be found, also farther off with a leader. */
function placePatchNames({ content, transform, labels, leaders }: Board, isOutlier: boolean): void {
  for (const patch of content.patches.filter(one => one.isOutlier === isOutlier && one.label !== null)) {
    const rings = polygonOnPage(patch.outline, transform)
    if (rings.length === 0) continue
    const [left, top, right, bottom] = boundsOf(rings)
    const [x, y] = [(left + right) / 2, (top + bottom) / 2]
    if (!isInside(x, y, transform.box)) continue
    const text = patch.id === '' ? patch.label! : `${patch.id}: ${patch.label}`
    const look = { text, face: isOutlier ? 'sans-bold' : 'sans', size: 7.2, colour: INK, halo: PAPER } as const
    const clear = Math.max(right - left, bottom - top, 4) / 2 + 3
    const distances = isOutlier ? [0, 9, 18, 28, 40, 54] : [0]
    const places = distances.flatMap(away =>
      [...placesRound(look, x, y, clear + away)].map(place => Object.assign([place], { away })),
    )
    const taken = labels.placeTogether(places)
    if (taken !== null && taken.away > 0) leaders.push(leaderLine(x, y, taken[0]!, clear, labels))
  }
}

/** Numbers of the owner's parcels, inside them where they fit. */
function placeParcelNames({ content, transform, labels }: Board): void {
  for (const { id, outline } of content.parcels) {
    const rings = polygonOnPage(outline, transform)
    if (rings.length === 0) continue
    const [left, top, right, bottom] = boundsOf(rings)
    const look = { text: id, face: 'sans', size: 6.6, colour: INK, halo: PAPER } as const
    const [x, y] = [(left + right) / 2, (top + bottom) / 2]
    const within: TextOperator = { op: 'text', ...look, x, y: y + 2.2, align: 'middle' }
    const around = Math.max(right - left, bottom - top) / 2 + 3
    labels.place(right - left > 44 ? [within, ...placesRound(look, x, y, around)] : placesRound(look, x, y, around))
  }
}

/** A fine line from a thing to the nearest point of its name. */
function leaderLine(x: number, y: number, text: TextOperator, clear: number, labels: LabelField): Operator {
  const box = labels.boxOf(text)
  const xs = [box[0], box[2], box[4], box[6]]
  const ys = [box[1], box[3], box[5], box[7]]
  const tipX = Math.min(Math.max(x, Math.min(...xs) - 1), Math.max(...xs) + 1)
  const tipY = Math.min(Math.max(y, Math.min(...ys)), Math.max(...ys))
  const length = Math.hypot(tipX - x, tipY - y) || 1
  const start = Math.min(clear, length) / length
  return linePath([x + (tipX - x) * start, y + (tipY - y) * start, tipX, tipY], { colour: INK, width: 0.5 })
}

function placeLineNames(
  { transform, fonts, labels }: Board,
  lines: readonly { readonly path: Float64Array; readonly name: string | null }[],
  look: { readonly face: 'sans' | 'sans-italic'; readonly size: number; readonly colour: string },
): void {
  const byName = new Map<string, Float64Array[]>()
  for (const { path, name } of lines) {
    if (name !== null) byName.set(name, [...(byName.get(name) ?? []), ...lineOnPage(path, transform)])
  }
  for (const [text, pieces] of byName) {
    const width = fonts.width(text, look.face, look.size)
    const chains = joinPieces(pieces).sort((a, b) => b.length - a.length)
    for (const chain of chains.slice(0, 4)) {
      if (labels.place(namePlaces(chain, { text, ...look, halo: PAPER }, width))) break
    }
  }
}

function area(lines: Float64Array[], look: Pick<PathOperator, 'fill' | 'stroke'>, note: () => unknown): PathOperator[] {
  if (lines.length === 0) return []
  note()
  return [{ op: 'path', lines, isClosed: true, ...look }]
}
