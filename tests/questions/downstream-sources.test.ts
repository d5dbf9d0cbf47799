import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type DownstreamInput, loadProperties, routeDownstream, traceSources } from '../../core/downstream/index.ts'
import { createTask } from '../../core/model/index.ts'
import { buildNetwork } from '../../core/network/index.ts'
import { anyCase, inputOf, PROFILE, patchOf, settingsWith, squareAt } from '../property/load-inputs.ts'
import { linesLayer, placeAt, type TestLine } from '../reference/network-lines.ts'

/** Two arms of 300 m that meet at the origin, and 600 m below it in two reaches; every expectation is by hand. */
const arms = (below: TestLine['attributes'] = {}): TestLine[] => [
  { path: [placeAt(-300, 0), placeAt(0, 0)], attributes: { id: 'west', direction: 'with' } },
  { path: [placeAt(300, 0), placeAt(0, 0)], attributes: { id: 'east', direction: 'with' } },
  { path: [placeAt(0, 0), placeAt(0, -300)], attributes: { id: 'upper', direction: 'with', ...below } },
  { path: [placeAt(0, -300), placeAt(0, -600)], attributes: { id: 'lower', direction: 'with', outlet: true } },
]

const inputWith = async (
  lines: readonly TestLine[],
  changes: Partial<DownstreamInput> = {},
): Promise<DownstreamInput> => ({
  network: await buildNetwork(
    { lines: linesLayer(lines), fields: {}, snap: 2, isNodingCrossings: false, outlets: [] },
    createTask(),
  ),
  patches: [patchOf('west', squareAt(-200, 0, 10), 300), patchOf('east', squareAt(200, 0, 10), 100)],
  season: '2024',
  settings: settingsWith(),
  profile: PROFILE,
  barriers: [],
  flood: null,
  ...changes,
})

describe('where it could have come from', () => {
  it('ranks the patches above a reach with their shares and the way along the water', async () => {
    const { ordinary, flood } = await traceSources(await inputWith(arms()), 3, createTask())
    // Both enter 200 m above the confluence: their shares are those of what they shed, 3 to 1.
    expect(ordinary.map(({ patchId }) => patchId)).toEqual(['west', 'east'])
    expect(ordinary[0]!.share).toBeCloseTo(0.75, 9)
    expect(flood[1]!.share).toBeCloseTo(0.25, 9)
    expect(Math.abs(ordinary[0]!.distance! - (200 + 300 + 150))).toBeLessThan(1e-3)
    // 600 propagules, 500 m above the reach, which keeps 1 - exp(-300 / 200) of what comes.
    expect(ordinary[0]!.deposit).toBeCloseTo(600 * Math.exp(-500 / 200) * -Math.expm1(-300 / 200), 4)
    expect((await traceSources(await inputWith(arms()), 0, createTask())).ordinary).toMatchObject([
      { patchId: 'west', share: 1 },
    ])
  })

  it('gives the same shares as the walks down from each patch, on random networks', async () => {
    await fc.assert(
      fc.asyncProperty(anyCase, async example => {
        const input = await inputOf(example)
        if (input === null) return
        const { ordinary, patchIds } = await routeDownstream(input, createTask())
        const { offsets, patch, share } = ordinary.sources!
        for (let reach = 0; reach < input.network.reachCount; reach++) {
          const traced = (await traceSources(input, reach, createTask())).ordinary
          const kept = [...patch.subarray(offsets[reach]!, offsets[reach + 1]!)].map((p, i) => ({
            id: patchIds[p]!,
            share: share[offsets[reach]! + i]!,
          }))
          expect(kept.length === 0).toBe(!(ordinary.deposit[reach]! > 0))
          for (const { id, share: walked } of kept) {
            const found = traced.find(({ patchId }) => patchId === id)
            expect(Math.abs((found?.share ?? 0) - walked)).toBeLessThan(1e-5)
          }
          const total = traced.reduce((sum, { deposit }) => sum + deposit, 0)
          expect(Math.abs(total - ordinary.deposit[reach]!)).toBeLessThanOrEqual(1e-9 * ordinary.balance.loadTotal)
        }
      }),
      { numRuns: 40, seed: 3 },
    )
  })
})

describe('at protected sites', () => {
  it('values the removal of each patch by what settles there alone', async () => {
    // The site covers the middle third of the lower reach: 100 of its 300 m, with no bank to speak of.
    const protect = squareAt(0, -450, 100)
    const settings = settingsWith({ bank: 1e-3 })
    const patches = [patchOf('west', squareAt(-200, 0, 10), 300), patchOf('east', squareAt(200, 0, 10), 100)]
    const { ordinary } = await routeDownstream(await inputWith(arms(), { protect, settings, patches }), createTask())
    const onReach = (load: number) => load * Math.exp(-500 / 200) * -Math.expm1(-300 / 200)
    const [west, east] = ordinary.avertedAtProtected!
    expect(Math.abs(west! / (onReach(600) / 3) - 1)).toBeLessThan(0.02)
    expect(east! / west!).toBeCloseTo(1 / 3, 9)
    const apart = await routeDownstream(await inputWith(arms(), { settings, patches }), createTask())
    expect(apart.ordinary.avertedAtProtected).toBeUndefined()
  })

  it('equals the forward difference: the deposit there with all patches less that without one', async () => {
    const protect = [...squareAt(0, -450, 120), ...squareAt(-100, 0, 40)]
    const whole = await routeDownstream(await inputWith(arms(), { protect }), createTask())
    const given = await inputWith(arms(), { protect })
    const without = await routeDownstream({ ...given, patches: given.patches.slice(1) }, createTask())
    const total = (answer: typeof whole) => answer.ordinary.avertedAtProtected!.reduce((sum, value) => sum + value, 0)
    expect(total(whole) - total(without)).toBeCloseTo(whole.ordinary.avertedAtProtected![0]!, 9)
  })
})

describe('lakes and times', () => {
  it('lets a lake keep its load over the length of the profile', async () => {
    const lake = { ...PROFILE, retention: { ...PROFILE.retention, lake: { value: 1000, source: 'test' } } }
    const { ordinary } = await routeDownstream(await inputWith(arms({ lake: true }), { profile: lake }), createTask())
    expect(ordinary.loadOut[2]! / ordinary.loadIn[2]!).toBeCloseTo(Math.exp(-300 / 1000), 9)
    const own = await routeDownstream(
      await inputWith(arms({ lake: true, retention_m: 50 }), { profile: lake }),
      createTask(),
    )
    expect(own.ordinary.loadOut[2]! / own.ordinary.loadIn[2]!).toBeCloseTo(Math.exp(-300 / 50), 9)
  })

  it('tells the hours from the nearest source where velocities are known', async () => {
    const timed = arms().map(line => ({ ...line, attributes: { ...line.attributes, velocity_m_s: 0.1 } }))
    const answer = await routeDownstream(await inputWith(timed), createTask())
    // 200 m to the confluence, 300 m and half of 300 m more, at 360 m an hour.
    expect(loadProperties(answer, 3)['hours_from_source']).toBeCloseTo(650 / 360, 5)
    expect(loadProperties(answer, 0)['hours_from_source']).toBe(0)
    const untold = await routeDownstream(await inputWith(arms()), createTask())
    expect(loadProperties(untold, 3)['hours_from_source']).toBeNull()
  })
})
