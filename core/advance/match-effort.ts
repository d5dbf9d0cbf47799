import type { SeasonSightings } from '../model/index.ts'
import type { Random } from '../stats/index.ts'

/** One season's looks: each is the index of the find that it made, or -1 where nothing was found. */
export interface Looks {
  readonly x: Float64Array
  readonly y: Float64Array
  readonly radius: Float64Array
  readonly looks: Int32Array
}

/**
 * Finds that make area, and all looks, in the order of report id whatever order they came in.
 * A find without a visit (out of its detectable window) is a look of its own.
 */
export function gatherLooks(sightings: SeasonSightings): Looks {
  const finds = sightings.finds.filter(find => find.makesArea).sort((a, b) => compare(a.reportId, b.reportId))
  const indexOf = new Map(finds.map((find, i) => [find.reportId, i]))
  // A find too inaccurate to make area was still a visit; it counts as effort and adds no position.
  const ids = new Set([...sightings.visits.map(visit => visit.reportId), ...sightings.finds.map(find => find.reportId)])
  return {
    x: Float64Array.from(finds, find => find.x),
    y: Float64Array.from(finds, find => find.y),
    radius: Float64Array.from(finds, find => find.radius),
    looks: Int32Array.from([...ids].sort(compare), id => indexOf.get(id) ?? -1),
  }
}

/** The finds of `count` looks drawn at random without return, ascending; all of them when there are no more looks. */
export function drawFinds({ looks }: Looks, count: number, random: Random): Int32Array {
  const chosen = looks.slice()
  const size = Math.min(count, chosen.length)
  if (size < chosen.length) shuffleFirst(chosen, size, random)
  let used = 0
  for (let i = 0; i < size; i++) if (chosen[i]! >= 0) chosen[used++] = chosen[i]!
  return chosen.subarray(0, used).sort()
}

/** `count` of the items, drawn at random without return; the items are shuffled in place. */
export function drawWithoutReturn(items: number[], count: number, random: Random): number[] {
  shuffleFirst(items, count, random)
  return items.slice(0, count)
}

/** Puts `count` items, drawn at random, first. Source: Fisher and Yates (1938), as far as it is needed. */
function shuffleFirst(items: number[] | Int32Array, count: number, random: Random): void {
  for (let i = 0; i < count; i++) {
    const other = i + random.integer(items.length - i)
    const taken = items[other]!
    items[other] = items[i]!
    items[i] = taken
  }
}

/** As many items as there are, drawn at random with return. */
export const drawWithReturn = (items: readonly number[], random: Random): number[] =>
  items.map(() => items[random.integer(items.length)]!)

const compare = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0)
