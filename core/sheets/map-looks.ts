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

/** Ground that stands for exact places: a wide hatch, so that what lies below stays readable. */
export const CELL_LOOK = {
  stroke: { colour: SEASON_SYMBOLS.shown.stroke, width: 0.8 } satisfies Stroke,
  fill: { hatch: 'dots', colour: SEASON_SYMBOLS.shown.stroke, gap: 2.6, weight: 0.5 } satisfies HatchFill,
}

export const SEARCHED_LOOK = {
  stroke: { colour: SEARCHED, width: 0.45 } satisfies Stroke,
  fill: { hatch: 'level', colour: SEARCHED, gap: 2.6, weight: 0.35 } satisfies HatchFill,
}
export const FLOOD_LOOK: HatchFill = { hatch: 'upright', colour: WATER, gap: 3.4, weight: 0.22 }
export const PARCEL_LOOK: Stroke = { colour: PARCEL_LINE, width: 0.3 }
/** Land of the owner whom the sheet is for. */
export const OWN_PARCEL_LOOK: Stroke = { colour: INK, width: 0.9 }
export const PARCEL_INFESTED_LOOK: Stroke = { colour: INK, width: 0.75 }
export const PARCEL_NEAR_LOOK: Stroke = { colour: INK, width: 0.6, dash: [1.6, 1.6] }
export const ROAD_LOOK: Stroke = { colour: ROAD, width: 0.7 }
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

/**
 * Width on paper of a water line, 0.4 to 2.6 points: its true width to scale where that shows; below, by its rank among
 * waters (a tenth of a point a metre), so that brooks do not drown what lies about them.
 */
export const waterLineWidth = (width: number | null, metresPerPoint: number): number =>
  Math.min(2.6, Math.max(0.4, Math.min(1.1, 0.3 + 0.1 * (width ?? 4)), (width ?? 0) / metresPerPoint))
