import { describe, expect, it } from 'vitest'
import type { MultiPolygon, Patch, SearchedGround, Season } from '../../core/model/index.ts'
import { formatPhrase, metres, squareMetres } from '../../core/model/index.ts'
import { describeOutline, linkSeasons, type OutlineFacts, type Treatment } from '../../core/outline/index.ts'
import { engine, find, outline, SETTINGS, square } from './outline-fixtures.ts'

const season = (id: string): Season => ({
  id,
  start: `${id}-01-01`,
  end: `${id}-12-31`,
  year: Number(id),
  detectable: {},
})
const SEASONS = ['2022', '2023', '2024'].map(season)

/** Patches of one season from [x, y, radius] rows. */
async function patchesOf(id: string, rows: readonly (readonly [number, number, number])[]): Promise<readonly Patch[]> {
  const finds = rows.map(([x, y, radius], i) =>
    find(`${id}-${i}`, x, y, { season: id, date: `${id}-06-01`, radius: metres(radius) }),
  )
  return (await outline(finds, { season: id })).patches
}

const ground = (id: string, planar: MultiPolygon): SearchedGround => ({
  season: id,
  planar,
  area: squareMetres(0),
  visits: 100,
  share: 1,
})

interface Extra {
  readonly searchedBefore?: readonly SearchedGround[]
  readonly treatments?: readonly Treatment[]
}

const link = (patchesBySeason: readonly (readonly Patch[])[], extra: Extra = {}) =>
  linkSeasons({
    patchesBySeason,
    seasons: SEASONS.slice(0, patchesBySeason.length),
    searchedBefore: extra.searchedBefore ?? [],
    treatments: extra.treatments ?? [],
    engine,
  })

/** Statuses of the last season, in the order of its patches. */
const lastStatuses = (patchesBySeason: readonly (readonly Patch[])[], extra: Extra = {}) => {
  const last = SEASONS[patchesBySeason.length - 1]!.id
  return link(patchesBySeason, extra)
    .histories.filter(history => history.season === last)
    .map(history => history.status)
}

describe('patch history', () => {
  it('is first without an earlier season', async () => {
    expect(lastStatuses([await patchesOf('2022', [[0, 0, 15]])])).toEqual(['first'])
  })

  it('is grown, steady or shrunk by over 20 % of gross area', async () => {
    const older = await patchesOf('2022', [[0, 0, 20]])
    // Area goes with the square of the radius: 1.09 and 1.10 squared are 1.19 and 1.21.
    const cases = [
      [20 * 1.09, 'steady'],
      [20 * 1.1, 'grown'],
      [20 * 0.9, 'steady'],
      [20 * 0.89, 'shrunk'],
    ] as const
    for (const [radius, status] of cases) {
      expect(lastStatuses([older, await patchesOf('2023', [[0, 0, radius]])])).toEqual([status])
    }
  })

  it('is split and merged', async () => {
    const whole = await patchesOf('2022', [[0, 0, 40]])
    const halves = await patchesOf('2023', [
      [-35, 0, 8],
      [35, 0, 8],
    ])
    expect(lastStatuses([whole, halves])).toEqual(['split', 'split'])
    const { histories } = link([
      halves.map(patch => ({ ...patch, season: '2022' })),
      await patchesOf('2023', [[0, 0, 40]]),
    ])
    const merged = histories.find(history => history.season === '2023')!
    expect([merged.status, merged.linkedFrom]).toEqual(['merged', ['P01', 'P02']])
  })

  it('is new on ground searched before and newly found on other ground', async () => {
    const seasons = [await patchesOf('2022', [[0, 0, 15]]), await patchesOf('2023', [[500, 0, 15]])]
    expect(lastStatuses(seasons)).toEqual(['newly_found'])
    const searchedBefore = [ground('2022', square(450, -50, 550, 50))]
    expect(lastStatuses(seasons, { searchedBefore })).toEqual(['new'])
    // The same ground searched in its own season says nothing about its age.
    expect(lastStatuses(seasons, { searchedBefore: [ground('2023', square(450, -50, 550, 50))] })).toEqual([
      'newly_found',
    ])
  })

  it('lists patches without a successor and judges one that came back by its older area', async () => {
    const [a, b, c] = [
      await patchesOf('2022', [[0, 0, 15]]),
      await patchesOf('2023', [[500, 0, 15]]),
      await patchesOf('2024', [[0, 0, 30]]),
    ]
    const { notSeen, histories } = link([a, b, c])
    expect(notSeen).toEqual([
      { season: '2023', patchSeason: '2022', patchId: 'P01' },
      { season: '2024', patchSeason: '2023', patchId: 'P01' },
    ])
    const back = histories.at(-1)!
    expect([back.status, back.linkedFrom]).toEqual(['grown', []])
  })

  it('marks what was treated by the end of its season', async () => {
    const patches = [await patchesOf('2022', [[0, 0, 15]]), await patchesOf('2023', [[0, 0, 15]])]
    const treated = (treatment: Treatment) =>
      link(patches, { treatments: [treatment] }).histories.map(one => one.isTreated)
    expect(treated({ date: '2022-08-01', planar: [3, 3] })).toEqual([true, true])
    expect(treated({ date: '2023-08-01', planar: square(-5, -5, 5, 5) })).toEqual([false, true])
    expect(treated({ date: '2022-08-01', planar: square(100, 100, 120, 120) })).toEqual([false, false])
  })
})

describe('the answer in words', () => {
  const reading = { units: 'hectares-metres', locale: 'en-US' } as const

  async function facts(): Promise<OutlineFacts> {
    const [older, newer] = [
      await patchesOf('2022', [[0, 0, 50]]),
      await patchesOf('2023', [
        [0, 0, 60],
        [800, 0, 40],
        [860, 60, 40],
      ]),
    ]
    const { histories, notSeen } = link([older, newer])
    const seasons = [older, newer].map((patches, s) => ({
      season: SEASONS[s]!,
      patches,
      singles: [],
      dashed: [],
      searched: { ...ground(SEASONS[s]!.id, []), visits: s === 0 ? 100 : 400 },
    }))
    return { seasons, shown: '2023', compared: '2022', histories, notSeen, parcels: null, settings: SETTINGS }
  }

  it('leads with gross and infested area, and says what cannot be concluded', async () => {
    const answer = describeOutline(await facts())
    const headline = formatPhrase(answer.headline, reading)
    expect(headline).toMatch(
      /^The vine covers 2\.\d+ ha gross in 2 patches, 2\.\d+ ha of it infested\. In 2022 it was 7,854 m²|0\.79 ha/,
    )
    const gross = answer.figures.find(figure => figure.id === 'gross_area')!
    const total = (await facts()).seasons[1]!.patches.reduce((sum, patch) => sum + patch.grossArea, 0)
    expect(gross.quantity.value).toBeCloseTo(total, 6)
    expect(gross.why!.selection!.ids).toEqual(['2023/P01', '2023/P02'])
    expect(answer.chart!.points.map(point => point.season)).toEqual(['2022', '2023'])
    const doubts = answer.cannotConclude.map(phrase => formatPhrase(phrase, reading))
    expect(doubts.some(text => text.startsWith('How dense the vine stands'))).toBe(true)
    expect(doubts.some(text => text.includes('effort went from 100 visits to 400 visits'))).toBe(true)
  })

  it('has words for a season without patches', async () => {
    const base = await facts()
    const empty = base.seasons.map(one => (one.season.id === '2023' ? { ...one, patches: [] } : one))
    const answer = describeOutline({ ...base, seasons: empty, histories: [], notSeen: [] })
    expect(formatPhrase(answer.headline, reading)).toBe('No report of 2023 places the vine.')
  })
})
