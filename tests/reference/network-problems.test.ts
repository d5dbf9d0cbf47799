import { describe, expect, it } from 'vitest'
import { measureDistance, measureLayer } from '../../core/geo/index.ts'
import { createTask, InputError, type ReachNetwork } from '../../core/model/index.ts'
import {
  buildNetwork,
  createReachIndex,
  distancesDownstream,
  distancesUpstream,
  downstreamDirectionAt,
  type NetworkInput,
  positionOfPlace,
  reachProperties,
  snapToReach,
} from '../../core/network/index.ts'
import { linesLayer, placeAt, rayFrom, type TestLine } from './network-lines.ts'

/** Every expectation follows from the definitions of the reach network by hand. */
const build = (lines: readonly TestLine[], changes: Partial<NetworkInput> = {}): Promise<ReachNetwork> =>
  buildNetwork(
    { lines: linesLayer(lines), fields: {}, snap: 2, isNodingCrossings: false, outlets: [], ...changes },
    createTask(),
  )

const kinds = (network: ReachNetwork) => network.problems.map(({ kind }) => kind)
const main = [placeAt(0, 0), placeAt(0, -500), placeAt(0, -1000)]

describe('nodes', () => {
  it('gathers ends within snap and keeps the geometry', async () => {
    const lines = [{ path: [placeAt(0, 0), placeAt(0, -500)] }, { path: [placeAt(1.5, -500), placeAt(0, -1000)] }]
    const near = await build(lines)
    expect([near.nodeCount, near.to[0], near.problems.length]).toEqual([3, near.from[1], 0])
    const total = [...near.length].reduce((sum, length) => sum + length, 0)
    expect(total).toBeCloseTo(measureLayer(linesLayer(lines)).length, 8)
    const strict = await build(lines, { snap: 1 })
    expect(strict.nodeCount).toBe(4)
    expect(kinds(strict)).toContain('gap')
    expect(kinds(strict)).toContain('disconnected')
  })

  it('tells of crossings and touches, or makes nodes of them when asked', async () => {
    const across = [placeAt(-100, -250), placeAt(100, -260)]
    const side = [placeAt(200, -700), placeAt(1, -700)]
    const lines = [{ path: main }, { path: across }, { path: side }]
    const plain = await build(lines)
    expect(plain.reachCount).toBe(3)
    expect(kinds(plain).filter(kind => kind === 'crossing')).toHaveLength(2)
    const noded = await build(lines, { isNodingCrossings: true })
    expect(noded.reachCount).toBe(3 + 2 + 1)
    expect(kinds(noded)).not.toContain('crossing')
    const total = [...noded.length].reduce((sum, length) => sum + length, 0)
    expect(total).toBeCloseTo(measureLayer(linesLayer(lines)).length, 6)
  })

  it('makes one node of a vertex that two lines share inside', async () => {
    const middle = placeAt(0, -500)
    const noded = await build([{ path: main }, { path: [placeAt(-90, -480), middle, placeAt(90, -520)] }], {
      isNodingCrossings: true,
    })
    expect([noded.reachCount, noded.nodeCount]).toEqual([4, 5])
  })
})

describe('direction of flow', () => {
  it('takes the attribute in any case and refuses other words, listing them', async () => {
    const against = await build([{ path: main, attributes: { FLOW: 'Against' } }], { fields: { direction: 'FLOW' } })
    expect(reachProperties(against, 0).direction_evidence).toBe('attribute')
    expect([...against.coords.slice(0, 2)]).toEqual(placeAt(0, -1000))
    await expect(build([{ path: main, attributes: { direction: 'north' } }])).rejects.toThrow(/"north" \(row 1\)/)
    await expect(build([{ path: main, attributes: { direction: 'north' } }])).rejects.toBeInstanceOf(InputError)
  })

  it('takes elevations where no attribute tells', async () => {
    const up = await build([{ path: main, attributes: { z_from: 10, z_to: 12 } }])
    expect(reachProperties(up, 0)).toMatchObject({ direction_evidence: 'elevation', problem: 'reversed' })
    const told = await build([{ path: main, attributes: { z_from: 10, z_to: 12, direction: 'with' } }])
    expect(reachProperties(told, 0)).toMatchObject({ direction_evidence: 'attribute', problem: 'reversed' })
    expect([...up.coords.slice(0, 2)]).toEqual(placeAt(0, -1000))
  })

  const junction = placeAt(0, -500)
  const tree = [
    { path: [placeAt(-200, 0), junction] },
    { path: [junction, placeAt(200, 0)] },
    { path: [junction, placeAt(0, -1000)] },
  ]

  it('turns a line that leads away from a marked outlet, and says so', async () => {
    const network = await build(tree, { outlets: [placeAt(0, -1000)] })
    expect([...network.from].every((from, r) => from !== network.to[r])).toBe(true)
    expect(network.problems.map(({ kind, reaches }) => [kind, ...reaches])).toEqual([['reversed', 1]])
    expect(reachProperties(network, 1)).toMatchObject({ direction_evidence: 'outlet', problem: 'reversed' })
    expect(network.strahler[2]).toBe(2)
  })

  it('keeps digitised order where two ends could be the outlet, and tells of both', async () => {
    const network = await build(tree)
    expect(reachProperties(network, 1).direction_evidence).toBe('digitised')
    expect(kinds(network)).toEqual(['dead_end', 'dead_end'])
  })

  it('finds the only outlet and turns a line drawn against the flow inside', async () => {
    const network = await build([
      { path: [placeAt(0, 0), placeAt(0, -500)] },
      { path: [placeAt(0, -1000), placeAt(0, -500)] },
      { path: [placeAt(0, -1000), placeAt(0, -1500)] },
    ])
    expect(network.problems.map(({ kind, reaches }) => [kind, ...reaches])).toEqual([['reversed', 1]])
    expect(reachProperties(network, 1).direction_evidence).toBe('outlet')
    expect(reachProperties(network, 0).direction_evidence).toBe('digitised')
  })

  it('lists a line whose attribute makes all its neighbours flow in', async () => {
    const network = await build([
      { path: [placeAt(0, 0), placeAt(0, -500)], attributes: { direction: 'with' } },
      { path: [placeAt(0, -1000), placeAt(0, -500)], attributes: { direction: 'with' } },
      { path: [placeAt(0, -1000), placeAt(0, -1500)], attributes: { direction: 'with', outlet: true } },
    ])
    expect(network.problems.map(({ kind, reaches }) => [kind, ...reaches])).toEqual([['reversed', 1]])
    expect(reachProperties(network, 1).direction_evidence).toBe('attribute')
  })

  it('flags loops and unknown directions and gives them no order', async () => {
    const ring = [
      { path: [placeAt(0, 0), placeAt(100, 0)] },
      { path: [placeAt(100, 0), placeAt(50, 80)] },
      { path: [placeAt(50, 80), placeAt(0, 0)] },
      { path: [placeAt(100, 0), placeAt(300, 0)], attributes: { outlet: true } },
      { path: [placeAt(300, 200), placeAt(300, 0)], attributes: { direction: 'unknown' } },
    ]
    const network = await build(ring)
    expect(kinds(network)).toEqual(['loop', 'no_direction'])
    expect([...network.strahler]).toEqual([0, 0, 0, 1, 0])
    expect(reachProperties(network, 4)).toMatchObject({ direction_evidence: 'none', problem: 'no_direction' })
  })
})

describe('along the water', () => {
  const start = placeAt(0, 0)
  const fork = rayFrom(start, 180, 400)
  const lines = [
    { path: [start, fork] },
    { path: [fork, rayFrom(fork, 170, 300)] },
    { path: [fork, rayFrom(fork, 200, 700)] },
  ]

  it('measures down and up from a place', async () => {
    const network = await build(lines)
    const down = distancesDownstream(network, [{ reach: 0, fraction: 0.25 }])
    expect(down.to({ reach: 0, fraction: 0.75 })).toBeCloseTo(200, 6)
    expect(down.to({ reach: 0, fraction: 0.1 })).toBe(Number.POSITIVE_INFINITY)
    expect(down.to({ reach: 2, fraction: 0.5 })).toBeCloseTo(300 + 350, 6)
    const up = distancesUpstream(network, [{ reach: 2, fraction: 0.5 }])
    expect(up.to({ reach: 0, fraction: 0 })).toBeCloseTo(350 + 400, 6)
    expect(up.to({ reach: 1, fraction: 0.5 })).toBe(Number.POSITIVE_INFINITY)
  })

  it('snaps to the nearest point of a reach to a millimetre', async () => {
    const network = await build(lines)
    const index = createReachIndex(network)
    const foot = rayFrom(start, 180, 150)
    const beside = rayFrom(foot, 90, 12.5)
    const snap = snapToReach(index, beside[0], beside[1], 30)!
    expect(Math.abs(snap.distance - 12.5)).toBeLessThan(1e-3)
    expect(snap.reach).toBe(0)
    expect(Math.abs(snap.fraction * network.length[0]! - 150)).toBeLessThan(1e-3)
    expect(measureDistance(...foot, ...positionOfPlace(network, snap))).toBeLessThan(1e-3)
    expect(snapToReach(index, beside[0], beside[1], 12)).toBeNull()
    expect(Math.abs(downstreamDirectionAt(network, snap)!)).toBeCloseTo(180, 6)
  })
})
