import type { SheetSeason } from '../model/sheet-content.ts'
import { INK, SEASON_SYMBOLS } from '../model/symbols.ts'
import type { Operator, PathOperator, Stroke } from './display-list.ts'
import { PAPER } from './map-looks.ts'

/** A single find: a diamond, hollow for the season compared. */
export function findMark(x: number, y: number, season: SheetSeason): PathOperator {
  const r = 3
  return {
    op: 'path',
    lines: [Float64Array.of(x, y - r, x + r, y, x, y + r, x - r, y)],
    isClosed: true,
    fill: PAPER,
    stroke: { colour: SEASON_SYMBOLS[season].stroke, width: season === 'shown' ? 1.3 : 0.7 },
  }
}

/** A patch too small to show its hatch: a dot in its place, filled for the season shown. */
export function smallPatchMark(x: number, y: number, season: SheetSeason): PathOperator {
  const { stroke } = SEASON_SYMBOLS[season]
  const line = circleLine(x, y, season === 'shown' ? 2.3 : 2.7)
  const isShown = season === 'shown'
  return {
    op: 'path',
    lines: [line],
    isClosed: true,
    ...(isShown ? { fill: stroke } : {}),
    stroke: { colour: isShown ? PAPER : stroke, width: isShown ? 0.5 : 0.9 },
  }
}

export function circleMark(x: number, y: number, radius: number, stroke: Stroke): PathOperator {
  return { op: 'path', lines: [circleLine(x, y, radius)], isClosed: true, stroke }
}

export function circleLine(x: number, y: number, radius: number): Float64Array {
  const corners = Math.max(16, Math.min(96, Math.ceil(radius * 4)))
  const line = new Float64Array(corners * 2)
  for (let i = 0; i < corners; i++) {
    const turn = (2 * Math.PI * i) / corners
    line[2 * i] = x + radius * Math.cos(turn)
    line[2 * i + 1] = y + radius * Math.sin(turn)
  }
  return line
}

/** An arrow between two points of the page, with a paper rim so that it stands clear of hatches. */
export function arrowMark(x0: number, y0: number, x1: number, y1: number): Operator[] {
  const length = Math.hypot(x1 - x0, y1 - y0) || 1
  const [ux, uy] = [(x1 - x0) / length, (y1 - y0) / length]
  const [headLong, headWide] = [6.2, 2.5]
  const [nx, ny] = [x1 - ux * headLong, y1 - uy * headLong]
  const head = Float64Array.of(x1, y1, nx - uy * headWide, ny + ux * headWide, nx + uy * headWide, ny - ux * headWide)
  const shaft = [Float64Array.of(x0, y0, nx + ux, ny + uy)]
  return [
    { op: 'path', lines: shaft, isClosed: false, stroke: { colour: PAPER, width: 3.4 } },
    { op: 'path', lines: [head], isClosed: true, fill: PAPER, stroke: { colour: PAPER, width: 2 } },
    { op: 'path', lines: shaft, isClosed: false, stroke: { colour: INK, width: 1.3 } },
    { op: 'path', lines: [head], isClosed: true, fill: INK },
  ]
}
