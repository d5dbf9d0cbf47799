import { beforeAll, describe, expect, it } from 'vitest'
import {
  type AdvanceInput,
  advanceJson,
  describeAdvance,
  measureAdvance,
  type Waterways,
} from '../../core/advance/index.ts'
import { createPolygonEngine, type PolygonEngine } from '../../core/geo/index.ts'
import {
  type AdvanceAnswer,
  createTask,
  formatPhrase,
  type ReachPlace,
  type SearchedGround,
} from '../../core/model/index.ts'
import { box, disc, frame, historyOf, patchOf, profile, searchedOf, seasonOf, settings } from './advance-place.ts'
import { findAt, visitOf } from './advance-trial.ts'

let engine: PolygonEngine
beforeAll(async () => {
  engine = await createPolygonEngine()
})

const reading = { units: 'hectares-metres', locale: 'en-GB' } as const

function measure(
  input: Pick<AdvanceInput, 'seasons' | 'patchesBySeason'> & Partial<AdvanceInput>,
): Promise<AdvanceAnswer> {
  return measureAdvance(
    {
      sightings: [],
      histories: [],
      searched: [],
      frame,
      engine,
      waterways: null,
      carriers: null,
      settings,
      join: 30,
      profile,
      ...input,
    },
    createTask(),
  )
}

const rounds = (radii: readonly number[], centre = [0, 0] as const) => ({
  seasons: radii.map((_, i) => seasonOf(2020 + i)),
  patchesBySeason: radii.map((radius, i) => [patchOf(String(2020 + i), 'P01', disc(centre[0], centre[1], radius))]),
})

describe('a perfectly round front', () => {
  it('gives the same rate by every method: radii of 200, 500, 800, 1100 m', async () => {
    // Constructed: perfect radial growth, all methods must agree on 300 m a year.
    const answer = await measure(rounds([200, 500, 800, 1100]))
    expect(answer.rates.radial_m_per_year.value).toBeCloseTo(300, 1)
    // The frame's scale and the chord of the polygon cost a few centimetres.
    expect(answer.rates.distance_m_per_year.value).toBeCloseTo(300, 1)
    expect(answer.rates.displacement_m_per_year.value).toBeCloseTo(300, 1)
    expect(answer.rates.edge_move_m_per_year).toMatchObject({ value: null, n: 0 })
    expect(answer.rates.along_water_m_per_year.reason).toContain('waterway')
    expect(answer.elongation).toBeCloseTo(1, 3)
    expect(answer.leads).toBe('radial_m_per_year')
    expect(answer.sectors).toHaveLength(32)
    for (const sector of answer.sectors.slice(24)) expect(sector.p95).toBeCloseTo(1100, 1)
  })

  it('moves 300 and 400 m between discs of 500, 800 and 1200 m, and back', async () => {
    const out = await measure(rounds([500, 800, 1200]))
    expect(out.moves.map(move => Math.round(move.median! * 10) / 10)).toEqual([300, 400])
    expect(out.moves[0]!.retreatMedian).toBeCloseTo(-300, 1)
    expect(out.moves[0]!.boundaryPoints).toBe(Math.round((2 * Math.PI * 800) / 25))
    expect(out.rates.displacement_m_per_year).toMatchObject({ n: 3, isHeadline: false })
    const back = await measure(rounds([800, 500]))
    expect(back.moves[0]!.median).toBeCloseTo(-300, 1)
    expect(back.moves[0]!.retreatMedian).toBeCloseTo(300, 1)
  })

  it('gives a displacement and no rate from two seasons', async () => {
    const answer = await measure(rounds([500, 800]))
    expect(answer.moves[0]!.median).toBeCloseTo(300, 1)
    for (const rate of Object.values(answer.rates)) {
      expect(rate.value).toBeNull()
      expect(rate.reason).not.toBeNull()
      expect(rate.isHeadline).toBe(false)
    }
    expect(answer.leads).toBeNull()
  })
})

describe('boundary that is not advance', () => {
  const older = patchOf('2020', 'P01', disc(0, 0, 100))
  const newer = patchOf('2021', 'P01', disc(0, 0, 120))
  const far = patchOf('2021', 'P02', box(3000, 0, 50, 50))
  const seasons = [seasonOf(2020), seasonOf(2021)]

  it('keeps patches apart that overlap no older one', async () => {
    const alone = await measure({ seasons, patchesBySeason: [[older], [newer]] })
    const both = await measure({ seasons, patchesBySeason: [[older], [newer, far]] })
    expect(both.moves[0]!.max).toBeCloseTo(20, 1)
    expect(both.moves[0]!.boundaryPoints).toBe(alone.moves[0]!.boundaryPoints)
  })

  it('tells ground searched before from ground that is newly found', async () => {
    const input = { seasons, patchesBySeason: [[older], [newer, far]] }
    const everywhere = await measure({ ...input, searched: [searchedOf('2020', box(-5000, -5000, 10_000, 10_000))] })
    expect(everywhere.moves[0]!.newlyFoundArea).toBe(0)
    expect(everywhere.moves[0]!.searchedPoints).toBe(everywhere.moves[0]!.boundaryPoints)
    // Only the eastern half had been searched: of the ring between the discs the western half is new, and no far patch.
    const east = await measure({ ...input, searched: [searchedOf('2020', box(0, -5000, 10_000, 10_000))] })
    expect(east.moves[0]!.newlyFoundArea / ((Math.PI * (120 ** 2 - 100 ** 2)) / 2)).toBeCloseTo(1, 3)
    expect(east.moves[0]!.searchedPoints).toBe(east.moves[0]!.boundaryPoints / 2)
    expect(east.moves[0]!.searchedMedian).toBeCloseTo(20, 1)
  })

  it('calls a far new patch an outlier only past stem growth and both position errors', async () => {
    const last = findAt('a', '2020', 90, 0)
    const gap = (x: number) => box(100 + x, -5, 10, 10)
    const outliersAt = async (x: number, status: 'new' | 'newly_found') => {
      const find = findAt('b', '2021', 105 + x, 0)
      const answer = await measure({
        seasons,
        patchesBySeason: [[older], [patchOf('2021', 'P02', gap(x), ['b'])]],
        sightings: [
          { season: '2020', finds: [last], visits: [visitOf(last)] },
          { season: '2021', finds: [find], visits: [visitOf(find)] },
        ],
        histories: [historyOf('2021', 'P02', status)],
      })
      return answer.outliers
    }
    // Stem growth 65 ft = 19.812 m a season, and 5 m of position error on each side.
    expect(await outliersAt(29.7, 'new')).toEqual([])
    const [outlier] = await outliersAt(29.9, 'new')
    expect(outlier).toMatchObject({ patchId: 'P02', isAgeUnknown: false, route: 'unknown' })
    expect(outlier!.distance).toBeCloseTo(29.9, 1)
    expect((await outliersAt(1000, 'newly_found'))[0]).toMatchObject({ isAgeUnknown: true })
  })

  it('leaves ground of unknown age out of the distance from the origin, in later seasons too', async () => {
    const three = [...seasons, seasonOf(2022)]
    const rate = async (known: readonly SearchedGround[]) => {
      const answer = await measure({
        seasons: three,
        patchesBySeason: [
          [older],
          [newer, far],
          [patchOf('2022', 'P01', disc(0, 0, 140)), patchOf('2022', 'P02', far.planar)],
        ],
        histories: [
          historyOf('2021', 'P02', 'newly_found'),
          historyOf('2022', 'P02', 'steady', ['P02']),
          historyOf('2022', 'P01', 'grown', ['P01']),
        ],
        searched: known,
      })
      return answer.rates.distance_m_per_year.value
    }
    expect(await rate([searchedOf('2020', disc(0, 0, 200))])).toBeCloseTo(20, 1)
    // Where nothing at all is known of searching the outlines are taken as they are: the far patch counts.
    expect(await rate([])).toBeGreaterThan(1000)
  })
})

describe('along the water', () => {
  // A straight stream along y = 0 that runs to the east; reach 0, fraction x / 10,000.
  const stream: Waterways = {
    placeOn: (x, y, maximum) =>
      Math.abs(y) <= maximum ? { reach: 0, fraction: x / 10_000, distance: Math.abs(y) } : undefined,
    positionsAbout: origin => place => (place.fraction - origin.fraction) * 10_000,
    distanceDownstream: (from, to) => along(from, to, 1),
    distanceUpstream: (from, to) => along(from, to, -1),
  }
  function along(from: readonly ReachPlace[], to: readonly ReachPlace[], sign: number): Float64Array {
    return Float64Array.from(to, place => {
      const ways = from.map(start => sign * (place.fraction - start.fraction) * 10_000).filter(way => way >= 0)
      return ways.length === 0 ? Number.POSITIVE_INFINITY : Math.min(...ways)
    })
  }
  const long = (year: number, length: number) => patchOf(String(year), 'P01', box(1000, -10, length, 20))

  it('leads with the along-water rate where patches are long and thin', async () => {
    const lengths = [200, 500, 800, 1100]
    const answer = await measure({
      seasons: lengths.map((_, i) => seasonOf(2020 + i)),
      patchesBySeason: lengths.map((length, i) => [long(2020 + i, length)]),
      waterways: stream,
    })
    expect(answer.elongation).toBeCloseTo(55, 6)
    expect(answer.leads).toBe('along_water_m_per_year')
    answer.alongWater.forEach(({ downstream }, i) => {
      // Places every 10 m find the end of a patch to within that.
      expect(Math.abs(downstream! - (lengths[i]! - lengths[0]!))).toBeLessThan(10)
    })
    expect(answer.rates.along_water_m_per_year.value).toBeCloseTo(300, 0)
    expect(answer.alongWater[3]!.upstream).toBeLessThan(10)
  })

  it('finds the likeliest route of a jump: water from upstream, else a road, else overland', async () => {
    const jump = async (x: number, y: number) => {
      const patches = [[long(2020, 200)], [long(2021, 200), patchOf('2021', 'P02', box(x, y, 20, 20))]]
      const road = Float64Array.of(5000, 1000, 5000, 3000)
      const answer = await measure({
        seasons: [seasonOf(2020), seasonOf(2021)],
        patchesBySeason: patches,
        waterways: stream,
        carriers: [road],
        histories: [historyOf('2021', 'P01', 'steady', ['P01']), historyOf('2021', 'P02', 'new')],
      })
      return answer.outliers[0]!
    }
    const water = await jump(3000, -10)
    expect(water).toMatchObject({ route: 'water' })
    expect(Math.abs(water.waterDistance! - 1800)).toBeLessThan(10)
    expect(await jump(100, -10)).toMatchObject({ route: 'overland', waterDistance: null })
    expect(await jump(4960, 2000)).toMatchObject({ route: 'road' })
    expect(await jump(4800, 2000)).toMatchObject({ route: 'overland' })
  })
})

describe('what leaves', () => {
  it('writes advance.json in the names of the interface', async () => {
    const json = advanceJson(await measure(rounds([200, 500, 800, 1100])), [
      { season: '2022', patchSeason: '2021', patchId: 'P07' },
    ])
    expect(Object.keys(json)).toEqual(
      expect.arrayContaining([
        'seasons',
        'gross_area_m2',
        'searched_share',
        'effective_radius_m',
        'rates',
        'leads',
        'displacement',
        'along_water',
        'sectors',
        'outliers',
        'far_age_unknown',
        'not_seen',
      ]),
    )
    // A patch goes by its own season and id; the same id in the season that misses it is another patch.
    expect(json.not_seen).toEqual([{ season: '2021', patch_id: 'P07', not_seen_in: '2022' }])
    expect(Object.keys(json.rates)).toEqual([
      'radial_m_per_year',
      'distance_m_per_year',
      'distance_quantile_m_per_year',
      'displacement_m_per_year',
      'edge_move_m_per_year',
      'along_water_m_per_year',
    ])
    for (const rate of Object.values(json.rates)) {
      expect(Object.keys(rate).sort()).toEqual([
        'assumes',
        'headline',
        'high',
        'low',
        'method',
        'n',
        'r2',
        'reason',
        'value',
      ])
    }
    expect(json.displacement[0]).toMatchObject({ from: '2020', to: '2021', edge_move_m: null, families: 0 })
    expect(JSON.parse(JSON.stringify(json))).toEqual(json)
  })

  it('says in words what the figures say', async () => {
    const answer = await measure(rounds([200, 500, 800, 1100]))
    const words = describeAdvance(answer, '2022', '2023')
    expect(formatPhrase(words.headline, reading)).toBe(
      'Since 2022 the outlines moved out 300 m (median of the boundary).',
    )
    expect(formatPhrase(words.footing, reading)).toContain('From the outlines alone')
    expect(words.chart!.points.map(point => point.y)).toEqual([...answer.effectiveRadius])
    expect(words.chart!.fit!.to[1] - words.chart!.fit!.from[1]).toBeCloseTo(900, 0)
    expect(words.figures.every(figure => figure.why !== undefined)).toBe(true)
    const first = describeAdvance(answer, '2020', '2020')
    expect(formatPhrase(first.headline, reading)).toContain('nothing to compare it with')
    // Named the other way round it is the same answer.
    expect(describeAdvance(answer, '2023', '2022')).toEqual(words)
    expect(() => describeAdvance(answer, '1999', '2020')).toThrow('1999')
  })

  it('puts the edge move, the jump and the effort into sentences', () => {
    const answer = invented()
    const words = describeAdvance(answer, '2024', '2025')
    // The wording that the design gives as its example.
    expect(formatPhrase(words.headline, reading)).toBe(
      'Since 2024 the edge moved 38 (22–54) m, and one patch jumped 1.10 km, likely by water.',
    )
    expect(formatPhrase(words.footing, reading)).toBe(
      'At equal effort, from 14 patch families. Visits rose 22 %: the outlines alone would say +61 m.',
    )
    const still = {
      ...answer,
      moves: [{ ...answer.moves[0]!, edgeMove: 3, edgeMoveInterval: { low: -2, high: 8 } }],
      outliers: [],
    }
    expect(formatPhrase(describeAdvance(still, '2024', '2025').headline, reading)).toContain(
      'no movement of the edge can be told from chance',
    )
  })
})

const UNDATED = { ways: [], nearestPatch: null, nearestReports: [], datingReports: [] }

function invented(): AdvanceAnswer {
  const none = { value: null, low: null, high: null, n: 2, r2: null, method: '', isHeadline: false, reason: 'too few' }
  return {
    seasons: ['2024', '2025'],
    years: [2024, 2025],
    grossArea: [1e5, 1.2e5],
    searchedShare: [0.4, 0.5],
    effectiveRadius: [178, 195],
    visits: [500, 610],
    rates: {
      radial_m_per_year: none,
      distance_m_per_year: none,
      distance_quantile_m_per_year: none,
      displacement_m_per_year: none,
      edge_move_m_per_year: none,
      along_water_m_per_year: none,
    },
    leads: null,
    moves: [
      {
        from: '2024',
        to: '2025',
        edgeMove: 38,
        edgeMoveInterval: { low: 22, high: 54 },
        edgeMoveDownstream: 50,
        edgeMoveDownstreamInterval: { low: 30, high: 70 },
        edgeMoveUpstream: 10,
        edgeMoveUpstreamInterval: null,
        families: 14,
        reason: null,
        median: 61,
        searchedMedian: 40,
        p95: 120,
        max: 200,
        retreatMedian: -20,
        boundaryLength: 9000,
        boundaryPoints: 360,
        searchedPoints: 200,
        newlyFoundArea: 1000,
      },
    ],
    families: [],
    alongWater: [],
    sectors: [],
    outliers: [
      {
        season: '2025',
        patchId: 'P09',
        distance: 1100,
        waterDistance: 1400,
        route: 'water',
        isAgeUnknown: false,
        ...UNDATED,
      },
      {
        season: '2025',
        patchId: 'P10',
        distance: 2100,
        waterDistance: null,
        route: 'unknown',
        isAgeUnknown: true,
        ...UNDATED,
      },
    ],
    growthCheck: {
      growth: null,
      growthInterval: null,
      diffusion: null,
      places: 0,
      speed: null,
      reason: 'too few',
    },
    firstSeen: { cell: 50, places: [] },
    origin: null,
    origins: [],
    elongation: 1.4,
  }
}
