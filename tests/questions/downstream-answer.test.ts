import { describe, expect, it } from 'vitest'
import {
  type DownstreamInput,
  describeDownstream,
  findBankBeside,
  findParcelsAtRisk,
  routeDownstream,
  scoreHindcast,
} from '../../core/downstream/index.ts'
import { geometryFromPolygons, layerOf } from '../../core/geo/index.ts'
import { createTask, formatPhrase } from '../../core/model/index.ts'
import { buildNetwork, createReachIndex } from '../../core/network/index.ts'
import { PROFILE, patchOf, settingsWith, squareAt } from '../property/load-inputs.ts'
import { linesLayer, placeAt } from '../reference/network-lines.ts'

const lines = Array.from({ length: 40 }, (_, i) => ({
  path: [placeAt(0, -100 * i), placeAt(0, -100 * (i + 1))],
  attributes: { id: `c${i}`, name: i < 3 ? 'Alder Run' : 'Long Creek', direction: 'with', outlet: i === 39 },
}))

async function input(): Promise<DownstreamInput> {
  return {
    network: await buildNetwork(
      { lines: linesLayer(lines), fields: {}, snap: 2, isNodingCrossings: false, outlets: [] },
      createTask(),
    ),
    patches: [patchOf('a', squareAt(0, -50, 16), 1000)],
    season: '2024',
    settings: settingsWith({ draws: 20 }),
    profile: PROFILE,
    barriers: [],
    flood: null,
  }
}

describe('hindcast', () => {
  it('scores finds by the order of looking and by distance alone', async () => {
    const given = await input()
    const answer = await routeDownstream(given, createTask())
    // By hand: the order runs down the creek from piece 1 (or 0); pieces 0-3 are the first tenth, 0-9 the first quarter.
    const finds = [1, 2, 6, 30].map(reach => ({ reach, fraction: 0.5 }))
    const score = scoreHindcast(answer, given.network, finds, '2025')!
    expect(score).toMatchObject({ from: '2024', to: '2025', finds: 4, inFirstTenth: 0.5, inFirstQuarter: 0.75 })
    expect(score.distanceInFirstQuarter).toBe(0.75)
    // 36 empty pieces; below each find lie, of these, by density: pieces 0, 1 have rank 2, 1 or 1, 2.
    const empties = [...Array(40).keys()].filter(r => ![1, 2, 6, 30].includes(r))
    const density = answer.ordinary.deposit.map((value, r) => value / given.network.length[r]!)
    const wins = [1, 2, 6, 30].map(f => empties.filter(e => density[f]! > density[e]!).length)
    expect(score.auc).toBeCloseTo(wins.reduce((a, b) => a + b) / (4 * 36), 12)
    expect(scoreHindcast(answer, given.network, [], '2025')).toBeNull()
    // Four reaches of forty, and ten.
    expect(score.chanceInFirstTenth).toBeCloseTo(0.1, 9)
    expect(score.chanceInFirstQuarter).toBeCloseTo(0.25, 9)
  })

  it('says plainly how the order did, also where it did badly', async () => {
    const given = await input()
    const answer = await routeDownstream(given, createTask())
    const said = (reaches: readonly number[]) => {
      const finds = reaches.map(reach => ({ reach, fraction: 0.5 }))
      const hindcast = scoreHindcast(answer, given.network, finds, '2025')
      const facts = { answer: { ...answer, hindcast }, network: given.network, settings: given.settings }
      const described = describeDownstream({ ...facts, profile: PROFILE, parcels: null })
      return formatPhrase(described.footing, { units: 'hectares-metres', locale: 'en-GB' })
    }
    expect(said([34, 35, 36, 37, 38, 39])).toContain('worse than chance: do not look by it here')
    expect(said([34, 35, 36, 37, 38, 39])).toMatch(/had 0\s?% of 6 new finds of 2025.*chance .*25\s?%/)
    expect(said([5, 20, 30])).toContain('not do clearly better than chance')
    // Along one creek the order and the distance are the same order.
    expect(said([1, 2, 3, 4, 5, 6])).toMatch(/better than chance/)
  })
})

describe('parcels', () => {
  it('measures the bank inside or beside a parcel', async () => {
    const { network } = await input()
    const index = createReachIndex(network)
    const total = (shape: ReturnType<typeof squareAt>, bank: number) =>
      findBankBeside(index, shape, bank).reduce((sum, { length }) => sum + length, 0)
    expect(Math.abs(total(squareAt(0, -500, 80), 0) - 80)).toBeLessThan(4)
    // The near side is 18 m off: within 30 m lie 80 m and twice sqrt(30^2 - 18^2) = 24 m.
    expect(Math.abs(total(squareAt(58, -500, 80), 30) - 128)).toBeLessThan(4)
    expect(total(squareAt(100, -500, 80), 30)).toBe(0)
  })

  it('lists infested and near ones, then those with bank to look at', async () => {
    const given = await input()
    const answer = await routeDownstream(given, createTask())
    const shapes = [
      squareAt(0, -3500, 80),
      squareAt(0, -750, 60),
      squareAt(0, -250, 60),
      squareAt(300, 0, 60),
      squareAt(0, -50, 60),
    ]
    const ids = ['low', 'next', 'first', 'far', 'infested']
    const parcels = layerOf('parcels', geometryFromPolygons(shapes), 'EPSG:4326', [
      { name: 'PIN', type: 'text', values: ids },
    ])
    const finds = new Map([[4, { status: 'infested' as const, confirmedFinds: 2, patchArea: 256 }]])
    const { network } = given
    const found = await findParcelsAtRisk({ parcels, idField: 'PIN', network, answer, bank: 30, finds }, createTask())
    expect(found.map(({ parcelId, status, look }) => [parcelId, status, look])).toEqual([
      ['infested', 'infested', 'first'],
      ['first', 'downstream', 'first'],
      ['next', 'downstream', 'next'],
    ])
    expect(found[1]!.mainSource).toBe('a')
    expect(found[1]!.arrivalChance).toBeGreaterThan(found[2]!.arrivalChance)
    const facts = { answer, network, settings: given.settings, profile: PROFILE, parcels: found }
    const described = describeDownstream(facts)
    const warn = described.figures.find(({ id }) => id === 'parcels-to-warn')!
    expect(warn.quantity.value).toBe(2)
  })
})

describe('in words', () => {
  const metric = { units: 'hectares-metres', locale: 'en-GB' } as const

  it('leads with the order, names the streams and says that it is a guide', async () => {
    const given = await input()
    const answer = await routeDownstream(given, createTask())
    const facts = { answer, network: given.network, settings: given.settings, profile: PROFILE, parcels: null }
    const described = describeDownstream(facts)
    expect(formatPhrase(described.headline, metric)).toBe(
      'Look first along 400 m of bank, on Alder Run and Long Creek; after a flood, first along 400 m.',
    )
    expect(formatPhrase(described.footing, metric)).toContain('not proof that anything is there')
    expect(described.chart!.points.map(({ y }) => Math.round(y!))).toEqual([400, 600, 3000, 400, 600, 3000])
  })

  it('says so when no patch lies near water', async () => {
    const given = { ...(await input()), patches: [patchOf('far', squareAt(900, 0, 16), 10)] }
    const answer = await routeDownstream(given, createTask())
    const facts = { answer, network: given.network, settings: given.settings, profile: PROFILE, parcels: null }
    expect(formatPhrase(describeDownstream(facts).headline, metric)).toMatch(/No patch of 2024 lies near enough/)
  })
})
