import type { EffortGrid, SheetContent } from '../model/sheet-content.ts'
import { INK, SEASON_SYMBOLS, SOFT_INK } from '../model/symbols.ts'
import { type Block, type TypeScale, textAt } from './blocks.ts'
import { type Operator, rectLine, rectPath } from './display-list.ts'
import type { SheetFonts } from './fonts.ts'

/** Greys from few to many visits; steps wide enough to tell apart in print. */
const SHADES = ['#e4e2dc', '#bdbab2', '#8f8d86', '#5d5c58', '#2b2b2a']

/** Small maps of where people looked, one a season, in the same classes of visits. */
export function effortBlock(content: SheetContent, width: number, type: TypeScale, fonts: SheetFonts): Block | null {
  const grids = content.effort
  if (grids.length === 0) return null
  const gutter = 8
  const mapWidth = (width - gutter * (grids.length - 1)) / Math.max(grids.length, 2)
  const mostHeight = width * 0.27
  const sizes = grids.map(grid => Math.min(mapWidth / grid.columns, mostHeight / grid.rows))
  const cell = Math.min(...sizes)
  const height = Math.max(...grids.map(grid => grid.rows)) * cell
  const breaks = visitBreaks(grids.flatMap(grid => grid.visits))
  const [labelHigh, keyHigh] = [type.small * 1.5, type.small * 1.9]
  return {
    gap: type.body * 0.35,
    height: labelHigh + height + keyHigh,
    draw(x, y) {
      const maps = grids.flatMap((grid, i) => {
        const left = x + i * (mapWidth + gutter)
        const bold = { face: 'sans-bold', size: type.small, colour: SEASON_SYMBOLS[grid.season].stroke } as const
        return [textAt(grid.label, left, y + type.small, bold), ...drawGrid(grid, left, y + labelHigh, cell, breaks)]
      })
      return [...maps, ...drawKey(breaks, x, y + labelHigh + height + keyHigh * 0.32, type, fonts)]
    },
  }
}

/** The small maps in words: visits of each season. */
export function effortWords(content: SheetContent): string {
  const number = new Intl.NumberFormat(content.reading.locale)
  const seasons = content.effort.map(({ label, visits }) => {
    const all = visits.reduce((sum, value) => sum + value, 0)
    return `${label}: ${number.format(all)} visits in ${number.format(visits.filter(value => value > 0).length)} cells`
  })
  return `Visits by square cell. ${seasons.join('; ')}.`
}

/** Lower bounds of the classes of visits: 1 and rounded quantiles of the cells with visits, of all seasons together. */
export function visitBreaks(visits: readonly number[]): number[] {
  const seen = visits.filter(value => value >= 1).sort((a, b) => a - b)
  if (seen.length === 0) return [1]
  const inner = [0.3, 0.55, 0.75, 0.9].map(share => roundVisits(seen[Math.floor(share * seen.length)]!))
  return [...new Set([1, ...inner])].sort((a, b) => a - b)
}

function roundVisits(value: number): number {
  const power = 10 ** Math.max(0, Math.floor(Math.log10(value)))
  const series = [1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10].map(k => k * power).filter(Number.isInteger)
  return series.reduce((best, one) => (Math.abs(one - value) < Math.abs(best - value) ? one : best))
}

function drawGrid(grid: EffortGrid, x: number, y: number, cell: number, breaks: readonly number[]): Operator[] {
  const byClass = breaks.map((): Float64Array[] => [])
  for (let row = 0; row < grid.rows; row++) {
    for (let column = 0; column < grid.columns; column++) {
      const visits = grid.visits[row * grid.columns + column] ?? 0
      const rank = breaks.findLastIndex(least => visits >= least)
      if (rank < 0) continue
      const [left, top] = [x + column * cell, y + row * cell]
      byClass[rank]!.push(rectLine([left, top, left + cell, top + cell]))
    }
  }
  const frame = { colour: SEASON_SYMBOLS[grid.season].stroke, width: 0.7 }
  return [
    ...byClass.flatMap((lines, rank): Operator[] =>
      lines.length === 0 ? [] : [{ op: 'path', lines, isClosed: true, fill: SHADES[rank]! }],
    ),
    rectPath([x, y, x + grid.columns * cell, y + grid.rows * cell], { stroke: frame }),
  ]
}

function drawKey(breaks: readonly number[], x: number, y: number, type: TypeScale, fonts: SheetFonts): Operator[] {
  const items: Operator[] = []
  const look = { face: 'sans', size: type.small, colour: SOFT_INK } as const
  let left = x
  for (const [i, least] of breaks.entries()) {
    const next = breaks[i + 1]
    const label = next === undefined ? `${least}+` : next - 1 === least ? `${least}` : `${least}–${next - 1}`
    const text = i === breaks.length - 1 ? `${label} visits` : label
    const size = type.small
    items.push(
      rectPath([left, y, left + size * 1.3, y + size], { fill: SHADES[i]!, stroke: { colour: INK, width: 0.25 } }),
    )
    items.push(textAt(text, left + size * 1.6, y + size * 0.88, look))
    left += size * 2.3 + fonts.width(text, 'sans', size)
  }
  return items
}
