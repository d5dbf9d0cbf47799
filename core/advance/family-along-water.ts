import { mean } from '../stats/index.ts'
import { type FamilyDraw, MINIMUM_FINDS } from './edge-families.ts'
import { clumpReach, evenStripLength, farPairVariance } from './even-scatter.ts'
import type { Looks } from './match-effort.ts'
import { ELONGATED } from './rates.ts'
import type { Waterways } from './waterways.ts'

export interface FamilyOnWater {
  readonly older: Looks
  readonly newer: Looks
  /** The family in the draws that hold it. */
  readonly draws: readonly FamilyDraw[]
  /** Middle of the family, and how far from it water may lie, metres. */
  readonly x: number
  readonly y: number
  readonly maximum: number
  readonly waterways: Waterways
}

export interface MoveAlongWater {
  readonly downstream: number
  readonly upstream: number
}

/** Places on the water farther along it than this many times the family's reach belong to another bend or branch. */
const FARTHEST = 20

/**
 * How far a family's edge moved down the water and up it: its finds are placed on the water, and shift and spread are
 * taken over their network distances. Those are counted from the water nearest to the family's middle instead of from its
 * upstream end: the two differ by a constant, which neither shift nor spread sees, and no arm of the water is left out.
 * Absent: null where there is no water near, where its direction is unknown, or where fewer than five finds of a season
 * lie on water that flow joins.
 */
export function familyMoveAlongWater(family: FamilyOnWater): MoveAlongWater | null {
  const { draws, waterways, maximum } = family
  const origin = waterways.placeOn(family.x, family.y, maximum)
  if (origin === undefined) return null
  const positionOf = waterways.positionsAbout(origin, maximum * FARTHEST)
  const locate = (looks: Looks) => {
    const known = new Map<number, number>()
    return (find: number): number => {
      const seen = known.get(find)
      if (seen !== undefined) return seen
      const place = waterways.placeOn(looks.x[find]!, looks.y[find]!, maximum)
      const position = place === undefined ? Number.NaN : positionOf(place)
      known.set(find, position)
      return position
    }
  }
  const [older, newer] = [locate(family.older), locate(family.newer)]
  let [weights, downstream, upstream] = [0, 0, 0]
  for (const draw of draws) {
    const olderPositions = draw.olderPart.map(older).filter(Number.isFinite)
    const newerPositions = draw.newerPart.map(newer).filter(Number.isFinite)
    if (olderPositions.length < MINIMUM_FINDS || newerPositions.length < MINIMUM_FINDS) continue
    const moves = edgeMovesAlong(draw, olderPositions, newerPositions)
    weights += draw.m
    downstream += draw.m * moves.downstream
    upstream += draw.m * moves.upstream
  }
  return weights === 0 ? null : { downstream: downstream / weights, upstream: upstream / weights }
}

/** How far the edge lies from the middle, in standard deviations of the positions along the water, of an even disc and strip. */
const [DISC, STRIP] = [2, Math.sqrt(3)]

/** Shift of the mean position and change of the half length, toward either end. */
function edgeMovesAlong(draw: FamilyDraw, older: readonly number[], newer: readonly number[]): MoveAlongWater {
  const [olderVariance, newerVariance] = [varianceOf(older), varianceOf(newer)]
  const reach = clumpReach(Math.sqrt(3 * ((olderVariance + newerVariance) / 2)))
  const deviation = (positions: readonly number[], variance: number) => {
    const far = farPairVariance(
      positions.map(position => [position]),
      reach,
    )
    return Number.isNaN(far) ? Math.sqrt(variance) : evenStripLength(far, reach) / Math.sqrt(12)
  }
  const change = deviation(newer, newerVariance) - deviation(older, olderVariance)
  const spread = edgeInDeviations(draw, olderVariance + newerVariance) * change
  const shift = mean(newer) - mean(older)
  return { downstream: spread + shift, upstream: spread - shift }
}

/** 2 for a round family, sqrt(3) for one that is long and thin, in between by its shape; the same in both seasons. */
function edgeInDeviations({ olderMoments, newerMoments }: FamilyDraw, along: number): number {
  const whole = olderMoments.xx + olderMoments.yy + newerMoments.xx + newerMoments.yy
  const ratio = whole > along ? Math.sqrt(along / (whole - along)) : ELONGATED
  const share = Math.min(1, Math.max(0, (ratio - 1) / (ELONGATED - 1)))
  return DISC + share * (STRIP - DISC)
}

function varianceOf(values: readonly number[]): number {
  const middle = mean(values)
  return values.reduce((sum, value) => sum + (value - middle) ** 2, 0) / (values.length - 1)
}
