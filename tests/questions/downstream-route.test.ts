import { describe, expect, it } from 'vitest'
import { balanceSummary, type DownstreamInput, loadProperties, routeDownstream } from '../../core/downstream/index.ts'
import { createTask, InputError, LOOK_ORDER, type Patch } from '../../core/model/index.ts'
import { buildNetwork } from '../../core/network/index.ts'
import { PROFILE, patchOf, settingsWith, squareAt } from '../property/load-inputs.ts'
import { linesLayer, placeAt, type TestLine } from '../reference/network-lines.ts'

/** Expectations follow from definitions 3.1 to 3.9 by hand. */
const inputWith = async (
  lines: readonly TestLine[],
  patches: readonly Patch[],
  changes: Partial<DownstreamInput> = {},
): Promise<DownstreamInput> => ({
  network: await buildNetwork(
    { lines: linesLayer(lines), fields: {}, snap: 2, isNodingCrossings: false, outlets: [] },
    createTask(),
  ),
  patches,
  season: '2024',
  settings: settingsWith(),
  profile: PROFILE,
  barriers: [],
  flood: null,
  ...changes,
})

/** A creek that runs south in pieces of 100 m, its last end marked. */
const creek = (pieces: number): TestLine[] =>
  Array.from({ length: pieces }, (_, i) => ({
    path: [placeAt(0, -100 * i), placeAt(0, -100 * (i + 1))],
    attributes: { id: `c${i}`, outlet: i === pieces - 1, direction: 'with' },
  }))

describe('where a patch sheds', () => {
  it('loses exp(-distance / bank scale) on the way to the water', async () => {
    // The side of the square that faces the creek is 12 m from it.
    const input = await inputWith(creek(3), [patchOf('a', squareAt(20, -50, 16), 1000)])
    const { loads, ordinary } = await routeDownstream(input, createTask())
    expect(loads[0]!.distance).toBeCloseTo(12, 3)
    expect(loads[0]!.load).toBeCloseTo(1000 * 2 * Math.exp(-loads[0]!.distance / 10), 9)
    expect(ordinary.balance.loadTotal).toBeCloseTo(loads[0]!.load, 9)
  })

  it('enters at the middle of a crossing and only there, with distance 0', async () => {
    const beside = { path: [placeAt(15, 0), placeAt(15, -300)], attributes: { id: 'beside', direction: 'with' } }
    const input = await inputWith([...creek(3), beside], [patchOf('a', squareAt(0, -50, 16), 1000)])
    const { loads } = await routeDownstream(input, createTask())
    expect(loads[0]!.distance).toBe(0)
    expect(loads[0]!.entries).toHaveLength(1)
    expect(loads[0]!.entries[0]!.reach).toBe(0)
    expect(loads[0]!.entries[0]!.fraction).toBeCloseTo(0.5, 4)
  })

  it('is shared among reaches within bank distance by exp(-d / scale)', async () => {
    const beside = { path: [placeAt(24, 0), placeAt(24, -100)], attributes: { id: 'beside', direction: 'with' } }
    const input = await inputWith([...creek(1), beside], [patchOf('a', squareAt(10, -50, 4), 1000)])
    const { loads } = await routeDownstream(input, createTask())
    const byReach = loads[0]!.entries.map(({ load }) => load)
    // 8 m to the creek on the west, 12 m to the line on the east.
    expect(byReach[1]! / byReach[0]!).toBeCloseTo(Math.exp(-0.4), 3)
  })

  it('sheds nothing beyond the bank distance, unless the flood reaches it', async () => {
    const far = [patchOf('far', squareAt(108, -50, 16), 1000)]
    const dry = await routeDownstream(await inputWith(creek(2), far), createTask())
    expect([dry.loads.length, dry.flood.balance.loadTotal]).toEqual([0, 0])
    const wet = await routeDownstream(await inputWith(creek(2), far, { flood: squareAt(60, -50, 200) }), createTask())
    expect(wet.ordinary.balance.loadTotal).toBe(0)
    expect(wet.flood.balance.loadTotal).toBeCloseTo(2000, 9)
  })
})

describe('along the water', () => {
  const patch = [patchOf('a', squareAt(0, -50, 16), 1000)]

  it('lays down 1 - exp(-L / lambda) and gives 1 - exp(-e x deposit) as the chance', async () => {
    const { ordinary, flood } = await routeDownstream(await inputWith(creek(3), patch), createTask())
    expect(ordinary.deposit[1]! / ordinary.loadIn[1]!).toBeCloseTo(1 - Math.exp(-0.5), 6)
    expect(flood.deposit[1]! / flood.loadIn[1]!).toBeCloseTo(1 - Math.exp(-0.05), 6)
    expect(ordinary.arrivalChance[1]).toBeCloseTo(1 - Math.exp(-0.01 * ordinary.deposit[1]!), 12)
    expect(ordinary.balance.outletTotal).toBeCloseTo(2000 * Math.exp(-250 / 200), 3)
  })

  it('holds at a node what the barrier does not pass, on every reach that flows in', async () => {
    const [longitude, latitude] = placeAt(0, -100)
    const barriers = [{ id: 'weir', longitude, latitude, pass: 0.25 }]
    const { ordinary } = await routeDownstream(await inputWith(creek(3), patch, { barriers }), createTask())
    expect(ordinary.held[0]).toBeCloseTo(0.75 * 2000 * Math.exp(-50 / 200), 3)
    expect([ordinary.held[1], ordinary.held[2]]).toEqual([0, 0])
  })

  it('refuses a barrier that stands on no line', async () => {
    const [longitude, latitude] = placeAt(9, -100)
    const barriers = [{ id: 'weir', longitude, latitude, pass: 0.25 }]
    const input = await inputWith(creek(3), patch, { barriers })
    await expect(routeDownstream(input, createTask())).rejects.toThrow(/weir.*farther than the snap distance/)
  })

  it('parts water by shares; missing ones share what is left', async () => {
    const fork = placeAt(0, -100)
    const lines = [
      creek(1)[0]!,
      { path: [fork, placeAt(-80, -200)], attributes: { direction: 'with', share: 0.6 } },
      { path: [fork, placeAt(0, -220)], attributes: { direction: 'with' } },
      { path: [fork, placeAt(80, -200)], attributes: { direction: 'with' } },
    ]
    const { ordinary } = await routeDownstream(await inputWith(lines, patch), createTask())
    const out = ordinary.loadOut[0]!
    expect([1, 2, 3].map(r => ordinary.loadIn[r]! / out)).toEqual([0.6, 0.2, 0.2].map(v => expect.closeTo(v, 12)))
    expect(ordinary.balance.strandedTotal).toBeGreaterThan(0)
  })

  it('keeps what falls on a reach of unknown direction there', async () => {
    const unknown = creek(3).map(line => ({ ...line, attributes: { ...line.attributes, direction: 'unknown' } }))
    const { ordinary } = await routeDownstream(await inputWith(unknown, patch), createTask())
    expect(ordinary.unrouted[0]).toBeCloseTo(2000, 9)
    expect(balanceSummary(ordinary.balance)).toMatchObject({ deposit_total: 0, balance_error: 0 })
    expect(
      loadProperties({ season: '2024', patchIds: ['a'], loads: [], ordinary, flood: ordinary, hindcast: null }, 0),
    ).toMatchObject({
      load_own: ordinary.loadOwn[0],
      look: null,
      risk_rank: null,
      flood_look: null,
    })
  })

  it('refuses a loop that nothing leaves', async () => {
    const endless = 1e300
    const ring = [
      { path: [placeAt(0, 0), placeAt(0, -100)], attributes: { direction: 'with', retention_m: endless } },
      { path: [placeAt(0, -100), placeAt(80, -50)], attributes: { direction: 'with', retention_m: endless } },
      { path: [placeAt(80, -50), placeAt(0, 0)], attributes: { direction: 'with', retention_m: endless } },
    ]
    await expect(routeDownstream(await inputWith(ring, patch), createTask())).rejects.toBeInstanceOf(InputError)
  })

  it('names the patch that most comes from', async () => {
    const two = [...patch, patchOf('b', squareAt(0, -450, 16), 100)]
    const { ordinary } = await routeDownstream(await inputWith(creek(8), two), createTask())
    const alone = await routeDownstream(await inputWith(creek(8), patch), createTask())
    for (let r = 0; r < 8; r++) {
      const fromA = alone.ordinary.deposit[r]! / ordinary.deposit[r]!
      expect(ordinary.mainSource[r]).toBe(fromA >= 0.5 ? 0 : 1)
      expect(ordinary.mainSourceShare[r]).toBeCloseTo(Math.max(fromA, 1 - fromA), 5)
    }
  })
})

describe('the order of looking', () => {
  it('puts the top tenth and quarter of the bank first and next, and tells how firm that is', async () => {
    const settings = settingsWith({ draws: 100 })
    const input = await inputWith(creek(40), [patchOf('a', squareAt(0, -50, 16), 1000)], { settings })
    const { ordinary } = await routeDownstream(input, createTask())
    const looks = [...ordinary.look].map(look => LOOK_ORDER[look])
    // Forty pieces of 100 m: 4 first, 10 to the end of next. The source's own piece holds half a piece of flow, the next one more.
    expect(looks.filter(look => look === 'first')).toHaveLength(4)
    expect(looks.filter(look => look === 'next')).toHaveLength(6)
    expect(new Set(looks.slice(0, 4))).toEqual(new Set(['first']))
    expect([...ordinary.rank].sort((a, b) => a - b)).toEqual(Array.from({ length: 40 }, (_, i) => i + 1))
    expect(ordinary.lookFirmness.every(value => value >= 0 && value <= 1)).toBe(true)
    for (let r = 0; r < 40; r++) {
      expect(ordinary.chanceLow[r]).toBeLessThanOrEqual(ordinary.chanceHigh[r]!)
    }
  })
})
