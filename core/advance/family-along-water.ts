import { type FamilyDraw, MINIMUM_FINDS } from './edge-families.ts'
import type { Looks } from './match-effort.ts'
import { edgeMovesAlong, lineMomentsOf } from './moments.ts'
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
    const moves = edgeMovesAlong(lineMomentsOf(olderPositions), lineMomentsOf(newerPositions))
    weights += draw.m
    downstream += draw.m * moves.ahead
    upstream += draw.m * moves.behind
  }
  return weights === 0 ? null : { downstream: downstream / weights, upstream: upstream / weights }
}
