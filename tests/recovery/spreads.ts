import { type Waterways, waterwaysOf } from '../../core/advance/index.ts'
import { createTask, type Find, type SeasonSightings } from '../../core/model/index.ts'
import { buildNetwork } from '../../core/network/index.ts'
import type { Random } from '../../core/stats/index.ts'
import { frame } from '../questions/advance-place.ts'
import { findAt, visitOf } from '../questions/advance-trial.ts'
import { linesLayer } from '../reference/network-lines.ts'

/** Round patches grow all round; long ones lie along a stream each and grow at their downstream end alone. */
export type Shape = 'round' | 'long'
/** Finds anywhere in a patch, or in clumps of three about, 8 m wide. */
export type Scatter = 'even' | 'clumped'

export interface SpreadPatch {
  readonly x: number
  readonly y: number
  /** Radius of a round patch, length of a long one, metres. */
  readonly size: number
}

export interface Spread {
  readonly shape: Shape
  readonly scatter: Scatter
}

/** Width of a long patch, metres. */
export const STRIP_WIDTH = 20
const PATCHES = 40
const [COLUMNS, SPACING] = [8, 1200]
const [CLUMP_SIZE, CLUMP_WIDTH] = [3, 8]

/** Forty patches so far apart that growth joins none: radii of 32-128 m, or strips of 100-400 m. */
export function makePatches(shape: Shape, random: Random): SpreadPatch[] {
  return Array.from({ length: PATCHES }, (_, i) => ({
    x: (i % COLUMNS) * SPACING,
    y: Math.floor(i / COLUMNS) * SPACING,
    size: (shape === 'round' ? 32 : 100) * 4 ** random.next(),
  }))
}

export interface SeasonOfSpread extends Spread {
  readonly season: string
  readonly patches: readonly SpreadPatch[]
  readonly growth: number
  readonly count: number
}

/** `count` finds of a season whose patches have grown by `growth` since the first. */
export function makeSeason(input: SeasonOfSpread, random: Random): SeasonSightings {
  const { season, patches, growth, count, scatter, shape } = input
  const areas = patches.map(({ size }) => (shape === 'round' ? (size + growth) ** 2 : size + growth))
  const finds: Find[] = []
  while (finds.length < count) {
    const patch = patches[pickByWeight(areas, random)]!
    const middle = placeIn(patch, input, random)
    const clump = scatter === 'even' ? [middle] : clumpAbout(middle, patch, input, random)
    for (const [x, y] of clump) {
      if (finds.length < count) finds.push(findAt(`${season}-${finds.length}`, season, x, y))
    }
  }
  return { season, finds, visits: finds.map(visitOf) }
}

function pickByWeight(weights: readonly number[], random: Random): number {
  let rest = random.next() * weights.reduce((sum, weight) => sum + weight, 0)
  for (const [i, weight] of weights.entries()) {
    rest -= weight
    if (rest <= 0) return i
  }
  return weights.length - 1
}

type Place = readonly [x: number, y: number]

function placeIn({ x, y, size }: SpreadPatch, { shape, growth }: SeasonOfSpread, random: Random): Place {
  if (shape === 'long') return [x + (size + growth) * random.next(), y + STRIP_WIDTH * (random.next() - 0.5)]
  const [angle, reach] = [2 * Math.PI * random.next(), (size + growth) * Math.sqrt(random.next())]
  return [x + reach * Math.cos(angle), y + reach * Math.sin(angle)]
}

function clumpAbout([x, y]: Place, patch: SpreadPatch, input: SeasonOfSpread, random: Random): Place[] {
  const clump: Place[] = []
  while (clump.length < CLUMP_SIZE) {
    const place = [x + CLUMP_WIDTH * random.normal(), y + CLUMP_WIDTH * random.normal()] as const
    if (holds(patch, input, place)) clump.push(place)
  }
  return clump
}

function holds({ x, y, size }: SpreadPatch, { shape, growth }: SeasonOfSpread, [px, py]: Place): boolean {
  if (shape === 'round') return Math.hypot(px - x, py - y) <= size + growth
  return px >= x && px <= x + size + growth && Math.abs(py - y) <= STRIP_WIDTH / 2
}

/** A straight stream for each patch of the trial, running east through it. */
export async function makeStreams(): Promise<Waterways> {
  const lines = Array.from({ length: PATCHES }, (_, i) => {
    const [x, y] = [(i % COLUMNS) * SPACING, Math.floor(i / COLUMNS) * SPACING]
    return { path: [frame.toGlobe(x - 300, y), frame.toGlobe(x + 850, y)], attributes: { direction: 'with' } }
  })
  const fields = { direction: 'direction' }
  const network = await buildNetwork(
    { lines: linesLayer(lines), fields, snap: 2, isNodingCrossings: false, outlets: [] },
    createTask(),
  )
  return waterwaysOf(network, frame)
}
