import { describe, expect, it } from 'vitest'
import { estimateEdgeMove, type Waterways } from '../../core/advance/index.ts'
import { edgeMoveOverall, momentsOf } from '../../core/advance/moments.ts'
import { Cancelled, createTask, type SeasonSightings } from '../../core/model/index.ts'
import { createRandom, mean } from '../../core/stats/index.ts'
import { findAt, trialPatches, trialSeason, visitOf } from './advance-trial.ts'

const REPEATS = 8
const estimate = (older: SeasonSightings, newer: SeasonSightings, draws = 10, waterways: Waterways | null = null) =>
  estimateEdgeMove({ older, newer, join: 60, draws, seed: 1, waterways }, createTask())

async function trial(counts: readonly [number, number], growth: number) {
  const moves: number[] = []
  let covered = 0
  for (let repeat = 0; repeat < REPEATS; repeat++) {
    const random = createRandom(1000 + repeat)
    const patches = trialPatches(40, random)
    const older = trialSeason('2023', patches, { count: counts[0], growth: 0 }, random)
    const newer = trialSeason('2024', patches, { count: counts[1], growth }, random)
    const { move, interval } = await estimate(older, newer)
    moves.push(move!)
    if (interval !== null && interval.low <= growth && growth <= interval.high) covered++
  }
  return { move: mean(moves), covered }
}

/**
 * Forty patches of 32-128 m with finds at random, discs of 15 m, join 60 m, as the definition's own trial.
 * The mean of eight trials varies by about 1 m (standard deviation of one: 2-3.5 m).
 */
describe('edge move recovers what was put in, whatever the effort', () => {
  it.each([
    [300, 300],
    [300, 1200],
    [1200, 300],
  ] as const)('no movement at %d and %d finds: within 3 m of 0', async (older, newer) => {
    const { move, covered } = await trial([older, newer], 0)
    expect(Math.abs(move)).toBeLessThan(3)
    expect(covered).toBeGreaterThanOrEqual(6)
  })

  it.each([
    [300, 300],
    [300, 1200],
    [1200, 300],
  ] as const)('20 m at %d and %d finds: 17 to 22 m', async (older, newer) => {
    const { move } = await trial([older, newer], 20)
    expect(move).toBeGreaterThan(17)
    expect(move).toBeLessThan(22)
  })

  it.each([
    [300, 300],
    [1200, 300],
  ] as const)('60 m at %d and %d finds: 54 to 62 m', async (older, newer) => {
    const { move } = await trial([older, newer], 60)
    expect(move).toBeGreaterThan(54)
    expect(move).toBeLessThan(62)
  })
})

describe('edge move toward a direction', () => {
  const stream: Waterways = {
    placeOn: x => ({ reach: 0, fraction: x / 10_000, distance: 0 }),
    positionsAbout: origin => place => (place.fraction - origin.fraction) * 10_000,
    distanceDownstream: (_, to) => new Float64Array(to.length),
    distanceUpstream: (_, to) => new Float64Array(to.length),
  }

  it('tells growth at one end from growth at the other: 40 m downstream, none upstream', async () => {
    const [down, up]: [number[], number[]] = [[], []]
    for (let repeat = 0; repeat < REPEATS; repeat++) {
      const random = createRandom(50 + repeat)
      // Twenty strips of 200 x 20 m that grow 40 m at their eastern end only.
      const strips = (season: string, count: number, length: number): SeasonSightings => {
        const finds = Array.from({ length: count }, (_, i) => {
          const strip = random.integer(20)
          return findAt(`${season}-${i}`, season, length * random.next(), strip * 1000 + 20 * random.next())
        })
        return { season, finds, visits: finds.map(visitOf) }
      }
      const result = await estimate(strips('2023', 300, 200), strips('2024', 900, 240), 15, stream)
      down.push(result.downstream!)
      up.push(result.upstream!)
    }
    expect(Math.abs(mean(down) - 40)).toBeLessThan(5)
    expect(Math.abs(mean(up))).toBeLessThan(5)
  })
})

describe('edge move, case by case', () => {
  const cluster = (season: string, x: number, count: number, radius: number): SeasonSightings['finds'] =>
    Array.from({ length: count }, (_, i) => {
      const angle = (2 * Math.PI * i) / count
      return findAt(`${season}-${x}-${i}`, season, x + radius * Math.cos(angle), radius * Math.sin(angle))
    })
  const season = (name: string, ...parts: SeasonSightings['finds'][]): SeasonSightings => {
    const finds = parts.flat()
    return { season: name, finds, visits: finds.map(visitOf) }
  }

  it('is the change of sqrt(2) x unbiased root mean square distance, by hand', () => {
    const circle = (radius: number) => {
      const finds = cluster('2023', 0, 8, radius)
      return momentsOf(
        finds.map(find => find.x),
        finds.map(find => find.y),
        finds.map((_, i) => i),
      )
    }
    // Mean squares about the own mean 900 and 1600, x 8/7 for the mean that the finds gave: 1028.571 and 1828.571.
    // The means coincide; by chance they would lie apart by (1028.571 + 1828.571) / 8, a quarter of it from the middle.
    expect(edgeMoveOverall(circle(30), circle(40))).toBeCloseTo(15.637, 3)
  })

  it('is the growth of an even disc to its error, and gives no interval of one family', async () => {
    const even = (name: string, count: number, radius: number) => {
      const random = createRandom(Number(name))
      return season(
        name,
        Array.from({ length: count }, (_, i) => {
          const [angle, reach] = [2 * Math.PI * random.next(), radius * Math.sqrt(random.next())]
          return findAt(`${name}-${i}`, name, reach * Math.cos(angle), reach * Math.sin(angle))
        }),
      )
    }
    const result = await estimate(even('2023', 3000, 100), even('2024', 3000, 130), 20)
    // Standard error of a radius from n finds: R / sqrt(12 n), 0.5 and 0.7 m here.
    expect(Math.abs(result.move! - 30)).toBeLessThan(3)
    expect(result.families).toBe(1)
    expect(result.interval).toBeNull()
    expect(result.reason).toContain('10')
  })

  it('is null with a reason where no family has five finds in both seasons', async () => {
    const result = await estimate(season('2023', cluster('2023', 0, 4, 30)), season('2024', cluster('2024', 0, 40, 40)))
    expect(result).toMatchObject({ move: null, interval: null, families: 0, arrows: [] })
    expect(result.reason).toContain('5 finds')
  })

  it('gives an interval from ten families', async () => {
    const many = (name: string, radius: number) =>
      season(name, ...Array.from({ length: 10 }, (_, i) => cluster(name, i * 1000, 6, radius + i)))
    const result = await estimate(many('2023', 30), many('2024', 40))
    expect(result.families).toBe(10)
    expect(result.interval!.low).toBeLessThanOrEqual(result.move!)
    expect(result.reason).toBeNull()
  })

  it('flags families that grew together', async () => {
    const two = season('2023', cluster('2023', 0, 8, 30), cluster('2023', 260, 8, 30))
    const apart = season('2024', cluster('2024', 0, 8, 30), cluster('2024', 260, 8, 30))
    const joined = season('2024', cluster('2024', 0, 8, 90), cluster('2024', 260, 8, 90))
    expect((await estimate(two, apart)).arrows.map(arrow => arrow.isMerged)).toEqual([false, false])
    expect((await estimate(two, joined)).arrows.map(arrow => arrow.isMerged)).toEqual([true])
  })

  it('points an arrow where a family went, and knows its error', async () => {
    const random = createRandom(9)
    const scatter = (name: string, x: number) =>
      season(
        name,
        Array.from({ length: 60 }, (_, i) =>
          findAt(`${name}-${i}`, name, x + 30 * random.normal(), 30 * random.normal()),
        ),
      )
    const [arrow] = (await estimate(scatter('2023', 0), scatter('2024', 50), 60)).arrows
    expect(arrow!.shift[0]).toBeGreaterThan(35)
    expect(Math.abs(arrow!.shift[1])).toBeLessThan(15)
    // By theory: var = 2 x 900 / 60 (means) + 4 x 2 x 900 / (2 x 60) (twice the standard deviations), se = 9.5 m.
    expect(arrow!.moveStandardError).toBeGreaterThan(6)
    expect(arrow!.moveStandardError).toBeLessThan(14)
  })

  it('does not hang on the order of the reports or on looks at other places', async () => {
    const random = createRandom(4)
    const patches = trialPatches(12, random)
    const [older, newer] = [
      trialSeason('2023', patches, { count: 150, growth: 0 }, random),
      trialSeason('2024', patches, { count: 300, growth: 10 }, random),
    ]
    const reversed = (one: SeasonSightings) => ({
      ...one,
      finds: [...one.finds].reverse(),
      visits: [...one.visits].reverse(),
    })
    expect(await estimate(reversed(older), reversed(newer))).toEqual(await estimate(older, newer))
  })

  it('leaves out finds whose position is too poor to make area', async () => {
    const stray = { ...findAt('2024-stray', '2024', 400, 0), makesArea: false }
    const base = [season('2023', cluster('2023', 0, 8, 30)), season('2024', cluster('2024', 0, 8, 40))] as const
    const withStray = season('2024', [...base[1].finds, stray])
    expect((await estimate(base[0], withStray, 40)).families).toBe(1)
    // One more look in 2024: a draw may miss one of its eight finds, never gain the stray one.
    const without = (await estimate(...base, 40)).move!
    expect(Math.abs((await estimate(base[0], withStray, 40)).move! - without)).toBeLessThan(3)
  })

  it('stops when it is cancelled', async () => {
    const task = createTask({ isCancelled: () => true })
    const input = { older: season('2023'), newer: season('2024'), join: 30, draws: 5, seed: 1, waterways: null }
    await expect(estimateEdgeMove(input, task)).rejects.toBeInstanceOf(Cancelled)
  })
})
