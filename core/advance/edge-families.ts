import type { Random } from '../stats/index.ts'
import { clumpReach, countApart } from './even-scatter.ts'
import { type Discs, linkDiscs } from './link-discs.ts'
import { drawFinds, drawWithoutReturn, drawWithReturn, type Looks } from './match-effort.ts'
import { type Moments, momentsOf, withoutClumps } from './moments.ts'

/** Finds that a family needs in each season. Source: exact definition of the edge move, by trial. */
export const MINIMUM_FINDS = 5

/** Places apart from each other that these must lie at: clumps are places seen more than once. Source: by trial. */
export const MINIMUM_PLACES = 3

/** One family in one draw: its finds of both seasons, thinned to equal visits and then to equal numbers. */
export interface FamilyDraw {
  /** Finds of the older and the newer season before the second thinning. */
  readonly older: readonly number[]
  readonly newer: readonly number[]
  /** Number of finds a season after it, and which they are. */
  readonly m: number
  readonly olderPart: readonly number[]
  readonly newerPart: readonly number[]
  readonly olderMoments: Moments
  readonly newerMoments: Moments
  /** The same from finds resampled within the family, for its standard error. */
  readonly olderAgain: Moments
  readonly newerAgain: Moments
  /** Whether two groups of older finds, each large enough for a family, hang together by the newer finds only. */
  readonly isMerged: boolean
}

/**
 * One draw: both seasons thinned to equal looks, their finds grouped together where steps of `reach` join them, and each
 * group with enough finds in both seasons thinned to m finds a season. In the order of their smallest older find.
 */
export function drawFamilies(older: Looks, newer: Looks, reach: number, random: Random): FamilyDraw[] {
  const count = Math.min(older.looks.length, newer.looks.length)
  const [olderFinds, newerFinds] = [drawFinds(older, count, random), drawFinds(newer, count, random)]
  const olderDiscs = discsAt(older, olderFinds)
  const together = linkDiscs(joinDiscs(olderDiscs, discsAt(newer, newerFinds)), reach)
  const alone = linkDiscs(olderDiscs, reach)
  const families = new Map<number, Group>()
  olderFinds.forEach((find, i) => {
    const group = families.get(together[i]!) ?? { older: [], newer: [], alone: new Map<number, number>() }
    families.set(together[i]!, group)
    group.older.push(find)
    group.alone.set(alone[i]!, (group.alone.get(alone[i]!) ?? 0) + 1)
  })
  newerFinds.forEach((find, i) => {
    families.get(together[olderFinds.length + i]!)?.newer.push(find)
  })
  return [...families.values()]
    .filter(group => group.older.length >= MINIMUM_FINDS && group.newer.length >= MINIMUM_FINDS)
    .flatMap(group => thinGroup(group, older, newer, random) ?? [])
}

/** Plain loops: this runs in every draw, and mapping a typed array through a function costs several times as much. */
function discsAt({ x, y, radius }: Looks, finds: Int32Array): Discs {
  const discs = {
    x: new Float64Array(finds.length),
    y: new Float64Array(finds.length),
    radius: new Float64Array(finds.length),
  }
  for (let i = 0; i < finds.length; i++) {
    const find = finds[i]!
    discs.x[i] = x[find]!
    discs.y[i] = y[find]!
    discs.radius[i] = radius[find]!
  }
  return discs
}

const joinDiscs = (a: Discs, b: Discs): Discs => ({
  x: joinColumns(a.x, b.x),
  y: joinColumns(a.y, b.y),
  radius: joinColumns(a.radius, b.radius),
})

function joinColumns(a: Float64Array, b: Float64Array): Float64Array {
  const both = new Float64Array(a.length + b.length)
  both.set(a)
  both.set(b, a.length)
  return both
}

interface Group {
  readonly older: number[]
  readonly newer: number[]
  /** Sizes of the groups that the older finds make alone. */
  readonly alone: Map<number, number>
}

function thinGroup(group: Group, older: Looks, newer: Looks, random: Random): FamilyDraw | null {
  const m = Math.min(group.older.length, group.newer.length)
  const olderPart = drawWithoutReturn([...group.older], m, random)
  const newerPart = drawWithoutReturn([...group.newer], m, random)
  const [olderMoments, newerMoments] = [momentsOf(older.x, older.y, olderPart), momentsOf(newer.x, newer.y, newerPart)]
  const reach = clumpReach(Math.sqrt(olderMoments.square + newerMoments.square))
  const [olderPlaces, newerPlaces] = [placesOf(older, olderPart), placesOf(newer, newerPart)]
  if (Math.min(countApart(olderPlaces, reach), countApart(newerPlaces, reach)) < MINIMUM_PLACES) return null
  return {
    older: group.older,
    newer: group.newer,
    m,
    olderPart,
    newerPart,
    olderMoments: withoutClumps(olderMoments, olderPlaces, reach),
    newerMoments: withoutClumps(newerMoments, newerPlaces, reach),
    olderAgain: momentsOf(older.x, older.y, drawWithReturn(olderPart, random)),
    newerAgain: momentsOf(newer.x, newer.y, drawWithReturn(newerPart, random)),
    isMerged: [...group.alone.values()].filter(size => size >= MINIMUM_FINDS).length > 1,
  }
}

const placesOf = ({ x, y }: Looks, finds: readonly number[]): (readonly [number, number])[] =>
  finds.map(find => [x[find]!, y[find]!])

/**
 * Follows families over the draws: a family of a draw is the one with which it shares most of the finds of the season
 * that was looked at less (those are in every draw), a new one where it shares none.
 */
export class FamilyRegister {
  readonly families: FamilyDraw[][] = []
  readonly #familyOf = new Map<number, number>()
  readonly #isOlderWhole: boolean

  constructor(isOlderWhole: boolean) {
    this.#isOlderWhole = isOlderWhole
  }

  add(draw: FamilyDraw): void {
    const finds = this.#isOlderWhole ? draw.older : draw.newer
    const votes = new Map<number, number>()
    for (const find of finds) {
      const family = this.#familyOf.get(find)
      if (family !== undefined) votes.set(family, (votes.get(family) ?? 0) + 1)
    }
    const [winner] = [...votes].sort((a, b) => b[1] - a[1] || a[0] - b[0])
    const family = winner?.[0] ?? this.families.push([]) - 1
    this.families[family]!.push(draw)
    for (const find of finds) if (!this.#familyOf.has(find)) this.#familyOf.set(find, family)
  }
}
