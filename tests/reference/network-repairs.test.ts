import { describe, expect, it } from 'vitest'
import { createTask, type NetworkRepair, type ReachNetwork } from '../../core/model/index.ts'
import { buildNetwork, type NetworkInput, reachProperties } from '../../core/network/index.ts'
import { parseBrief } from '../../core/project/index.ts'
import { linesLayer, placeAt, rayFrom, type TestLine } from './network-lines.ts'

/** Every expectation follows from the definitions of the reach network by hand. */
const build = (lines: readonly TestLine[], changes: Partial<NetworkInput> = {}): Promise<ReachNetwork> =>
  buildNetwork(
    { lines: linesLayer(lines), fields: {}, snap: 2, isNodingCrossings: false, outlets: [], ...changes },
    createTask(),
  )

const accept = (...repairs: readonly NetworkRepair[]) => ({
  repairs: repairs.map(({ id }) => ({ id, isAccepted: true })),
})
const openRepairs = ({ repairs }: ReachNetwork) => repairs.filter(({ decision }) => decision === 'open')
const named = (id: string, path: TestLine['path'], attributes: TestLine['attributes'] = {}): TestLine => ({
  path,
  attributes: { id, ...attributes },
})

describe('repairs', () => {
  it('bridges a gap, keeps its id over a second run and moves nothing', async () => {
    const lines = [
      named('up', [placeAt(0, 0), placeAt(0, -490)]),
      named('down', [placeAt(0, -500), placeAt(0, -1000)], { outlet: true }),
    ]
    const before = await build(lines)
    const bridge = before.repairs.find(({ action, reaches }) => action === 'bridge' && reaches[0] === 0)!
    expect(bridge).toMatchObject({ problem: 'gap', decision: 'open', reaches: [0] })
    expect(bridge.evidence).toContain('lies 10.0 m from line down')
    const after = await build(lines, accept(bridge))
    expect(after.to[0]).toBe(after.from[1])
    expect([...after.length]).toEqual([...before.length])
    expect(after.problems).toEqual([])
    expect(after.repairs).toMatchObject([{ id: bridge.id, decision: 'accepted', problem: null, reaches: [0] }])
    // The order of the rows does not change what is meant.
    const turned = await build([lines[1]!, lines[0]!], accept(bridge))
    expect(turned.to[1]).toBe(turned.from[0])
  })

  it('bridges onto the side of a line by cutting it', async () => {
    const lines = [
      named('side', [placeAt(200, -500), placeAt(8, -500)]),
      named('main', [placeAt(0, 0), placeAt(0, -1000)], { outlet: true }),
    ]
    const bridge = (await build(lines)).repairs.find(({ action }) => action === 'bridge')!
    const after = await build(lines, accept(bridge))
    expect([after.reachCount, after.nodeCount, after.problems.length]).toEqual([3, 4, 0])
    expect(after.length[1]! + after.length[2]!).toBeCloseTo(1000, 6)
  })

  it('turns a line, with the evidence `repaired`', async () => {
    const lines = [
      named('a', [placeAt(0, 0), placeAt(0, -500)], { direction: 'with' }),
      named('b', [placeAt(0, -1000), placeAt(0, -500)], { direction: 'with' }),
      named('c', [placeAt(0, -1000), placeAt(0, -1500)], { direction: 'with', outlet: true }),
    ]
    const [turn] = (await build(lines)).repairs
    expect(turn).toMatchObject({ action: 'turn', problem: 'reversed', reaches: [1] })
    const after = await build(lines, accept(turn!))
    expect(reachProperties(after, 1)).toMatchObject({ direction_evidence: 'repaired', problem: null })
    expect(after.problems).toEqual([])
    expect(after.strahler[2]).toBe(1)
  })

  it('settles a line that was turned toward the outlet', async () => {
    const lines = [
      named('a', [placeAt(0, -500), placeAt(0, 0)]),
      named('b', [placeAt(0, -500), placeAt(0, -1000)], { outlet: true }),
    ]
    const before = await build(lines)
    expect(reachProperties(before, 0)).toMatchObject({ direction_evidence: 'outlet', problem: 'reversed' })
    const after = await build(lines, accept(...before.repairs))
    expect(reachProperties(after, 0)).toMatchObject({ direction_evidence: 'repaired', problem: null })
    expect(after.from[0]).toBe(before.from[0])
  })

  it('nodes a crossing, marks an outlet and breaks a loop, each on its own', async () => {
    const cross = [named('a', [placeAt(0, 0), placeAt(0, -500)]), named('b', [placeAt(-100, -240), placeAt(100, -260)])]
    const node = (await build(cross)).repairs.find(({ action }) => action === 'node')!
    expect((await build(cross, accept(node))).reachCount).toBe(4)

    const fork = [
      named('stem', [placeAt(0, 0), placeAt(0, -300)]),
      named('left', [placeAt(0, -300), placeAt(-200, -600)]),
      named('right', [placeAt(0, -300), placeAt(200, -600)]),
    ]
    const ends = openRepairs(await build(fork))
    expect(ends.map(({ action, problem }) => [action, problem])).toEqual([
      ['mark_outlet', 'dead_end'],
      ['mark_outlet', 'dead_end'],
    ])
    expect((await build(fork, accept(...ends))).problems).toEqual([])

    const ring = [
      named('1', [placeAt(0, 0), placeAt(100, 0)]),
      named('2', [placeAt(100, 0), placeAt(50, 80)]),
      named('3', [placeAt(50, 80), placeAt(0, 0)]),
      named('out', [placeAt(100, 0), placeAt(300, 0)], { outlet: true }),
    ]
    const loop = (await build(ring)).repairs.find(({ problem }) => problem === 'loop')!
    // Only line 2 leaves a node that has another way out.
    expect(loop.proposal).toBe('Let line 2 flow against its digitised order.')
    expect((await build(ring, accept(loop))).problems).toEqual([])
  })

  it('lists a declined repair as declined, and warns of an accepted one that fits nothing', async () => {
    const lines = [named('a', [placeAt(0, 0), placeAt(0, -490)]), named('b', [placeAt(0, -500), placeAt(0, -1000)])]
    const [bridge] = (await build(lines)).repairs
    const declined = await build(lines, { repairs: [{ id: bridge!.id, isAccepted: false }] })
    expect(declined.repairs.find(({ id }) => id === bridge!.id)).toMatchObject({ decision: 'declined', problem: 'gap' })
    const warnings: string[] = []
    await buildNetwork(
      {
        lines: linesLayer(lines),
        fields: {},
        snap: 2,
        isNodingCrossings: false,
        outlets: [],
        repairs: [{ id: 'node:x+y@0.000000,0.000000', isAccepted: true }],
      },
      createTask({ onWarning: (_, message) => warnings.push(message) }),
    )
    expect(warnings).toEqual([expect.stringContaining('node:x+y@0.000000,0.000000')])
  })
})

it('takes decisions about repairs from a brief', () => {
  const brief = (repairs: unknown) =>
    parseBrief(
      JSON.stringify({
        title: 'Repairs',
        layers: { reports: [{ path: 'r.csv' }] },
        species: { id: 'v', name: 'V', retention_m: { lake: 700 } },
        downstream: { node_touches: true, repairs },
      }),
      'brief.json',
    )
  const { downstream, species } = brief(['a', { id: 'b', decision: 'decline' }])
  expect(downstream).toMatchObject({
    isNodingTouches: true,
    repairs: [
      { id: 'a', isAccepted: true },
      { id: 'b', isAccepted: false },
    ],
  })
  expect(species.retention.lake).toMatchObject({ value: 700 })
  expect(() => brief([{ id: 'b', decision: 'perhaps' }])).toThrow(/downstream\.repairs\.0/)
})

describe('lines that do not node, and kinds of water', () => {
  const main = named('main', [placeAt(0, 0), placeAt(0, -1000)])

  it('leaves culverts and bridges unnoded along their sides, and is silent about them', async () => {
    for (const mark of ['culvert', 'bridge', 'no_node']) {
      const over = named('over', [placeAt(-100, -250), placeAt(100, -260)], { [mark]: true })
      const network = await build([main, over], { isNodingCrossings: true })
      expect([network.reachCount, network.problems.filter(({ kind }) => kind === 'crossing').length]).toEqual([2, 0])
    }
    const joined = named('side', [placeAt(200, -500), placeAt(1, -500)], { culvert: true })
    expect((await build([main, joined], { isNodingTouches: true })).reachCount).toBe(3)
  })

  it('nodes touches apart from crossings', async () => {
    const across = named('across', [placeAt(-100, -250), placeAt(100, -260)])
    const side = named('side', [placeAt(200, -700), placeAt(1, -700)])
    const network = await build([main, across, side], { isNodingTouches: true })
    expect(network.reachCount).toBe(2 + 1 + 1)
    expect(network.problems.filter(({ kind }) => kind === 'crossing')).toHaveLength(1)
  })

  it('takes a tide to run both ways, and keeps ditches and lakes as attributes', async () => {
    const [tidal, ditch, lake] = ['tidal', 'ditch', 'lake'].map((kind, i) =>
      named(kind, [placeAt(500 * i + 500, 0), placeAt(500 * i + 500, -300)], { [kind]: true }),
    )
    const network = await build([tidal!, ditch!, lake!])
    expect([0, 1, 2].map(r => reachProperties(network, r).water)).toEqual(['tidal', 'ditch', 'lake'])
    expect([...network.isBothWays]).toEqual([1, 0, 0])
  })
})

describe('lengths and times along the water', () => {
  const start = placeAt(0, 0)
  const fork = rayFrom(start, 180, 400)
  const end = rayFrom(fork, 180, 720)
  const lines = (attributes: TestLine['attributes'] = {}) => [
    named('stem', [start, fork], attributes),
    named('side', [rayFrom(fork, 90, 300), fork]),
    named('trunk', [fork, end], { outlet: true, velocity_m_s: 0.2 }),
  ]

  it('adds up the water above and the way to the outlet', async () => {
    const network = await build(lines())
    expect(reachProperties(network, 2).upstream_length_m).toBeCloseTo(700, 6)
    expect(reachProperties(network, 0)).toMatchObject({ upstream_length_m: 0 })
    expect(reachProperties(network, 0).distance_to_outlet_m).toBeCloseTo(720, 6)
    expect(reachProperties(network, 2).distance_to_outlet_m).toBe(0)
  })

  it('gives hours where velocities are known, and nothing elsewhere', async () => {
    const network = await build(lines())
    // 720 m at 0.2 m/s take an hour; the reach's own time is not part of it.
    expect(reachProperties(network, 0).hours_to_outlet).toBeCloseTo(1, 9)
    expect(reachProperties(network, 0).velocity_m_s).toBeNull()
    const dry = await build(lines().map(({ path }) => ({ path })))
    expect(reachProperties(dry, 0).hours_to_outlet).toBeNull()
  })

  it('takes velocity from the slope by Manning', async () => {
    const network = await build(lines({ slope: 0.01, depth_m: 1 }))
    // Chow (1959), equation 5-6 with n = 0.04, R = 1 m, S = 0.01: 0.1 / 0.04 = 2.5 m/s.
    expect(reachProperties(network, 0).velocity_m_s).toBeCloseTo(2.5, 12)
  })
})
