import type { SheetSeason } from '../model/sheet-content.ts'
import { INK, LOOK_INK, PARCEL_LINE, ROAD, SEARCHED, SEASON_SYMBOLS, SOFT_INK, WATER } from '../model/symbols.ts'
import type { HatchFill, Stroke } from './display-list.ts'

export const PAPER = '#ffffff'

/** Outline and hatch of a season's patches; gaps tight enough that a patch of a few millimetres shows its hatch. */
export function patchLook(season: SheetSeason): { readonly stroke: Stroke; readonly fill: HatchFill } {
  const symbol = SEASON_SYMBOLS[season]
  return {
    stroke: {
      colour: symbol.stroke,
      width: season === 'shown' ? 1.15 : 0.95,
      ...(symbol.isDashed ? { dash: [3.2, 1.5] } : {}),
    },
    fill:
      season === 'shown'
        ? { hatch: symbol.hatch, colour: symbol.stroke, gap: 2.1, weight: 1.1 }
        : { hatch: symbol.hatch, colour: symbol.stroke, gap: 3, weight: 0.6 },
  }
}

/** Rectangles that stand for exact places: this season's with a wide hatch, the one before as a rim alone. */
export function cellLook(season: SheetSeason): { readonly stroke: Stroke; readonly fill?: HatchFill } {
  const { stroke, fill } = patchLook(season)
  const isShown = season === 'shown'
  return {
    stroke: { ...stroke, width: isShown ? 0.9 : 0.5 },
    ...(isShown ? { fill: { ...fill, gap: 4.4, weight: 0.8 } } : {}),
  }
}

export const SEARCHED_LOOK = {
  stroke: { colour: SEARCHED, width: 0.45 } satisfies Stroke,
  fill: { hatch: 'level', colour: SEARCHED, gap: 2.6, weight: 0.35 } satisfies HatchFill,
}
export const FLOOD_LOOK: HatchFill = { hatch: 'upright', colour: WATER, gap: 3.4, weight: 0.22 }
export const PARCEL_LOOK: Stroke = { colour: PARCEL_LINE, width: 0.3 }
export const PARCEL_INFESTED_LOOK: Stroke = { colour: INK, width: 0.75 }
export const PARCEL_NEAR_LOOK: Stroke = { colour: INK, width: 0.6, dash: [1.6, 1.6] }
export const ROAD_LOOK: Stroke = { colour: ROAD, width: 0.95 }
export const BOUNDARY_LOOK: Stroke = { colour: SOFT_INK, width: 0.9, dash: [8, 2.4, 1.4, 2.4] }
export const DASHED_FIND_LOOK = (season: SheetSeason): Stroke => ({
  colour: SEASON_SYMBOLS[season].stroke,
  width: 0.7,
  dash: [2, 1.6],
})

/** Strokes of a reach, lowest first: the order of looking reads in grey by weight and pattern alone. */
export function reachLook(look: 'none' | 'low' | 'next' | 'first', waterWidth: number): Stroke[] {
  const water: Stroke = { colour: WATER, width: waterWidth, cap: 'round' }
  if (look === 'first') {
    return [
      { colour: PAPER, width: 5.8 },
      { colour: LOOK_INK, width: 4.4 },
      { colour: PAPER, width: 1.8 },
    ]
  }
  if (look === 'next') {
    return [
      { colour: PAPER, width: 3.6 },
      { ...water, width: 0.6 },
      { colour: LOOK_INK, width: 2.3, dash: [5, 2.6] },
    ]
  }
  if (look === 'low') return [water, { colour: LOOK_INK, width: 1.7, dash: [0.01, 4.2], cap: 'round' }]
  return [water]
}

/** Width on paper of a water line: its true width to scale, never under 0.6 nor over 2.6 points. */
export const waterLineWidth = (width: number | null, metresPerPoint: number): number =>
  Math.min(2.6, Math.max(0.65, (width ?? 0) / metresPerPoint))
