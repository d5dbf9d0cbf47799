import { beforeAll, describe, expect, it } from 'vitest'
import { disagreements, leadReason } from '../../core/advance/compare-rates.ts'
import { fisherSpeed } from '../../core/advance/growth-check.ts'
import { type AdvanceInput, advanceJson, describeAdvance, measureAdvance } from '../../core/advance/index.ts'
import { createPolygonEngine, measureDistance, type PolygonEngine } from '../../core/geo/index.ts'
import { createTask, formatPhrase, RATE_KINDS, type Rate, type RateKind } from '../../core/model/index.ts'
import { checkAll } from '../reference/check.ts'
import { box, disc, frame, historyOf, patchOf, profile, seasonOf, settings } from './advance-place.ts'
import { findAt, visitOf } from './advance-trial.ts'

let engine: PolygonEngine
beforeAll(async () => {
  engine = await createPolygonEngine()
})

const measure = (input: Pick<AdvanceInput, 'seasons' | 'patchesBySeason'> & Partial<AdvanceInput>) =>
  measureAdvance(
    {
      ...{ sightings: [], histories: [], searched: [], frame, engine, waterways: null, carriers: null },
      ...{ settings, join: 30, profile },
      ...input,
    },
    createTask(),
  )

/** A round front of one patch: radii in metres by season from 2020. */
const front = (radii: readonly number[]) => ({
  seasons: radii.map((_, i) => seasonOf(2020 + i)),
  patchesBySeason: radii.map((radius, i) => [patchOf(String(2020 + i), 'P01', disc(0, 0, radius))]),
})

describe('a round front of 40 m a year', () => {
  it('gives 40 m by the quantile line of distance on year of first sight', async () => {
    const { rates } = await measure(front([100, 140, 180, 220, 260]))
    const rate = rates.distance_quantile_m_per_year
    // Every place of a season lies at its radius, to half a cell of 12.5 m.
    expect(Math.abs(rate.value! - 40)).toBeLessThan(2)
    expect(rate.low!).toBeLessThanOrEqual(rate.value!)
    expect(rate.high!).toBeGreaterThanOrEqual(rate.value!)
    expect(rate).toMatchObject({ isHeadline: true, r2: null })
    const two = await measure(front([100, 140]))
    expect(two.rates.distance_quantile_m_per_year).toMatchObject({ value: null, low: null })
  })

  it('passes each place away from the middle at 40 m a year', async () => {
    const { firstSeen } = await measure(front([100, 140, 180, 220, 260]))
    const known = firstSeen.places.filter(({ speed }) => speed !== null)
    expect(known.length).toBeGreaterThan(firstSeen.places.length * 0.9)
    const speeds = known.map(({ speed }) => speed!).sort((a, b) => a - b)
    expect(Math.abs(speeds[speeds.length >> 1]! - 40)).toBeLessThan(1.5)
    for (const { longitude, latitude, azimuth } of known) {
      const [x, y] = frame.toPlane(longitude, latitude)
      const outward = (Math.atan2(x, y) * 180) / Math.PI
      expect(Math.abs(((azimuth! - outward + 540) % 360) - 180)).toBeLessThan(15)
    }
  })

  it('has no speed where two seasons are all there is', async () => {
    const { firstSeen } = await measure(front([100, 140]))
    expect(firstSeen.places.length).toBeGreaterThan(20)
    expect(firstSeen.places.every(({ speed, azimuth }) => speed === null && azimuth === null)).toBe(true)
  })
})

describe("Fisher's speed", () => {
  it.each([
    // Fisher (1937), Skellam (1951); r and D of Lubina and Levin (1988), Am. Nat. 131:526-543, as read in a re-creation.
    ['sea otter, north', 0.056, 13.5, 1.73896521],
    ['sea otter, south', 0.056, 54.7, 3.500399977],
    // r and D from memory of Andow et al. (1990), Landscape Ecology 4:177-188, table 1.
    ['muskrat, low', 0.2, 51, 6.387487769],
    ['small cabbage white, high', 31.5, 129, 127.491176165],
  ])('of the %s is 2 sqrt(rD)', (_, growth, diffusion, speed) => {
    const pairs = [[speed, fisherSpeed(growth, diffusion)] as const]
    const source = 'Skellam (1951); r and D of Lubina and Levin, Andow'
    checkAll({ what: 'front speed 2 sqrt(rD), km/year', source, share: 5e-9, pairs })
  })

  it('comes from the growth of area and the scatter of new places, by hand for a round front', async () => {
    const { growthCheck } = await measure(front([100, 140, 180]))
    // Slope of 2 ln R on year over three seasons: (2 ln 180 - 2 ln 100) / 2.
    expect(growthCheck.growth).toBeCloseTo(Math.log(1.8), 3)
    // Places stand 40 m from the circle before, to a cell: mean square over 4 years.
    expect(Math.abs(growthCheck.diffusion! / (40 ** 2 / 4) - 1)).toBeLessThan(0.1)
    expect(growthCheck.speed).toBeCloseTo(2 * Math.sqrt(growthCheck.growth! * growthCheck.diffusion!), 9)
    const shrinking = await measure(front([180, 140, 100]))
    expect(shrinking.growthCheck).toMatchObject({ speed: null, reason: 'The gross area did not grow.' })
  })
})

describe('origins', () => {
  const seasons = [seasonOf(2020), seasonOf(2021), seasonOf(2022)]
  const two = (radius: number, year: number) => [
    patchOf(String(year), 'P01', disc(0, 0, radius)),
    patchOf(String(year), 'P02', disc(5000, 0, radius)),
  ]
  const patchesBySeason = [100, 130, 160].map((radius, i) => two(radius, 2020 + i))
  const rateFrom = async (origin: typeof settings.origin) =>
    (await measure({ seasons, patchesBySeason, settings: { ...settings, origin } })).rates.distance_m_per_year.value!

  it('of several, each place counts from the nearest', async () => {
    expect(await rateFrom([frame.toGlobe(0, 0), frame.toGlobe(5000, 0)])).toBeCloseTo(30, 1)
    const one = await measure({ seasons, patchesBySeason, settings: { ...settings, origin: frame.toGlobe(0, 0) } })
    expect(Math.max(...one.sectors.map(({ max }) => max ?? 0))).toBeCloseTo(5160, 0)
  })

  it('of a boundary, distance counts from the first outlines', async () => {
    const answer = await measure({ seasons, patchesBySeason, settings: { ...settings, origin: 'boundary' } })
    expect(answer.rates.distance_m_per_year.value).toBeCloseTo(30, 1)
    expect(answer.origins).toHaveLength(2)
    expect(
      Math.max(...answer.sectors.filter(({ season }) => season === '2022').map(({ max }) => max ?? 0)),
    ).toBeCloseTo(60, 1)
  })

  it('of the first patch is the centroid of the largest', async () => {
    const { origin } = await measure({ seasons, patchesBySeason })
    expect(measureDistance(...origin!, ...frame.toGlobe(0, 0))).toBeLessThan(0.01)
  })
})

describe('a jump', () => {
  it('comes with its ways, likeliest first, the nearest older patch and the reports that date both', async () => {
    const old = [findAt('a1', '2020', 0, 0), { ...findAt('a2', '2020', 5, 0), date: '2020-08-01' }]
    const far = [{ ...findAt('b2', '2021', 805, 0), date: '2021-09-01' }, findAt('b1', '2021', 800, 0)]
    const answer = await measure({
      seasons: [seasonOf(2020), seasonOf(2021)],
      patchesBySeason: [
        [patchOf('2020', 'P01', box(-10, -10, 20, 20), ['a1', 'a2']), patchOf('2020', 'P02', box(-5000, 0, 20, 20))],
        [patchOf('2021', 'P01', box(-10, -10, 20, 20)), patchOf('2021', 'P02', box(790, -10, 20, 20), ['b1', 'b2'])],
      ],
      sightings: [
        { season: '2020', finds: old, visits: old.map(visitOf) },
        { season: '2021', finds: far, visits: far.map(visitOf) },
      ],
      histories: [historyOf('2021', 'P01', 'steady', ['P01']), historyOf('2021', 'P02', 'new')],
      // A road that makes a detour: 10 m past the old patch, north, and down to the new one.
      carriers: [Float64Array.of(0, 20, 0, 500, 800, 500, 800, 20)],
    })
    const [jump] = answer.outliers
    expect(jump).toMatchObject({
      route: 'road',
      nearestPatch: 'P01',
      nearestReports: ['a1'],
      datingReports: ['b1'],
    })
    expect(jump!.ways.map(({ route }) => route)).toEqual(['road', 'unknown'])
    // 480 + 800 + 480 m between the ends, less what lies within 30 m of either patch (10 m steps along the road).
    expect(Math.abs(jump!.ways[0]!.distance! - (480 + 800 + 480 - 20 - 20))).toBeLessThanOrEqual(20)
    expect(jump!.ways[1]!.distance).toBeCloseTo(780, 1)
    const [json] = advanceJson(answer, []).outliers
    expect(json).toMatchObject({ nearest_patch_id: 'P01', dating_reports: ['b1'], nearest_reports: ['a1'] })
  })
})

describe('rates side by side', () => {
  const none: Rate = {
    ...{ value: null, low: null, high: null, n: 2, r2: null, method: '', isHeadline: false, reason: 'too few' },
  }
  const rates = (known: Partial<Record<RateKind, readonly [number, number]>>) =>
    Object.fromEntries(
      RATE_KINDS.map(kind => {
        const [low, high] = known[kind] ?? []
        return [kind, low === undefined ? none : { ...none, value: (low + high!) / 2, low, high: high! }]
      }),
    ) as unknown as Record<RateKind, Rate>

  it('disagree where their intervals do not meet', () => {
    const known = rates({
      radial_m_per_year: [20, 30],
      edge_move_m_per_year: [5, 19],
      displacement_m_per_year: [10, 25],
    })
    expect(disagreements({ rates: known })).toEqual([['radial_m_per_year', 'edge_move_m_per_year']])
  })

  it('say why one leads, and in words that they disagree', async () => {
    expect(leadReason({ leads: null, elongation: null })).toBeNull()
    expect(leadReason({ leads: 'along_water_m_per_year', elongation: 5 })).toContain('long and thin')
    const answer = await measure(front([100, 140, 180, 220]))
    const apart = {
      ...answer,
      rates: {
        ...answer.rates,
        edge_move_m_per_year: { ...answer.rates.radial_m_per_year, low: 1, high: 2, value: 1.5 },
      },
    }
    const words = describeAdvance(apart, '2022', '2023').cannotConclude.map(phrase =>
      formatPhrase(phrase, { units: 'hectares-metres', locale: 'en-GB' }),
    )
    expect(words.join(' ')).toContain('rates disagree')
  })
})
