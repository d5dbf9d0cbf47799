import { describe, expect, it } from 'vitest'
import { type LoadSystem, planLoad, solveAdjoint, solveLoad } from '../../core/downstream/index.ts'
import { check, checkAll } from './check.ts'
import values from './values/network.json' with { type: 'json' }

/** Source: values/network.json `retention-split`, closed form M exp(-k L) worked by hand; exact to 1e-12. */
const split = values.checks.find(check => check.id === 'retention-split')! as unknown as {
  input: {
    k_per_km: number
    source: number
    reach_m: Record<'s' | 'left' | 'right' | 'e', number>
    split: Record<'left' | 'right', number>
  }
  expected: {
    at_n1: number
    left: number
    right: number
    n2: number
    exit: number
    deposited: Record<'s' | 'left' | 'right' | 'e', number>
  }
}

const closedLoop = (): never => {
  throw new Error('closed loop')
}

/** Arcs s: 0 -> 1, left and right: 1 -> 2, e: 2 -> 3. */
function system(share: number[], barriers: [arc: number, place: number, pass: number][] = []): LoadSystem {
  const { reach_m, k_per_km } = { ...split.input }
  const offsets = [0, 1, 2, 3, 4].map(arc => barriers.filter(([at]) => at < arc).length)
  return {
    nodeCount: 4,
    arcCount: 4,
    from: Uint32Array.of(0, 1, 1, 2),
    to: Uint32Array.of(1, 2, 2, 3),
    length: Float64Array.of(reach_m.s, reach_m.left, reach_m.right, reach_m.e),
    retention: new Float64Array(4).fill(1000 / k_per_km),
    share: Float64Array.from(share),
    barrierOffsets: Uint32Array.from(offsets),
    barrierPlace: Float64Array.from(barriers, ([, place]) => place),
    barrierPass: Float64Array.from(barriers, ([, , pass]) => pass),
    outOffsets: Uint32Array.of(0, 1, 3, 4, 4),
    outArcs: Uint32Array.of(0, 1, 2, 3),
  }
}

const source = { arc: Uint32Array.of(0), place: Float64Array.of(0), load: Float64Array.of(split.input.source) }
const shares = [1, split.input.split.left, split.input.split.right, 1]

describe('transport with retention and a split', () => {
  it('gives the flows and deposits of the worked example', () => {
    const { expected } = split
    const { outflow, deposit, node } = solveLoad(planLoad(system(shares), closedLoop), source)
    const got = [outflow[0], outflow[1], outflow[2], node[2], outflow[3], ...deposit]
    const want = [
      expected.at_n1,
      expected.left,
      expected.right,
      expected.n2,
      expected.exit,
      expected.deposited.s,
      expected.deposited.left,
      expected.deposited.right,
      expected.deposited.e,
    ]
    const formula = 'M exp(-k L), by hand'
    const pairs = want.map((value, i) => [value, got[i]!] as const)
    checkAll({ what: 'flows and deposits through a split', source: formula, share: 1e-12, pairs })
    check({
      what: 'load left at the exit of 1,000',
      source: formula,
      expected: expected.exit,
      got: outflow[3],
      share: 1e-12,
    })
    const kept = deposit.reduce((sum, value) => sum + value, outflow[3]!)
    check({
      what: 'mass balance: deposits and outflow of 1,000',
      source: 'conservation of mass',
      expected: 1000,
      got: kept,
      share: 1e-9,
    })
  })

  it('holds (1 - b) of what arrives at a barrier', () => {
    // By hand: 400 m above the barrier, 600 m below it, k = 0.35 a km, b = 0.25.
    const { outflow, held, deposit } = solveLoad(planLoad(system(shares, [[0, 400, 0.25]]), closedLoop), source)
    const arriving = 1000 * Math.exp(-0.35 * 0.4)
    const what = 'held at a barrier that passes a quarter'
    check({ what, source: '(1 - b) M exp(-k L), by hand', expected: 0.75 * arriving, got: held[0], within: 5e-10 })
    expect(outflow[0]).toBeCloseTo(0.25 * arriving * Math.exp(-0.35 * 0.6), 9)
    expect(outflow[0]! + held[0]! + deposit[0]!).toBeCloseTo(1000, 9)
  })

  it('counts what enters at a barrier as upstream of it', () => {
    const entry = { ...source, place: Float64Array.of(400) }
    const { held } = solveLoad(planLoad(system(shares, [[0, 400, 0]]), closedLoop), entry)
    expect(held[0]).toBe(1000)
  })

  it('solves a loop: a geometric series round it', () => {
    // Two nodes, out and back: T = 0.5 each way, half of node 1 leaves by a third arc. By hand N1 = s T / (1 - T^2 / 2).
    const length = Float64Array.of(1, 1, 1)
    const retention = new Float64Array(3).fill(1 / Math.LN2)
    const loop: LoadSystem = {
      nodeCount: 3,
      arcCount: 3,
      from: Uint32Array.of(0, 1, 1),
      to: Uint32Array.of(1, 0, 2),
      length,
      retention,
      share: Float64Array.of(1, 0.5, 0.5),
      barrierOffsets: new Uint32Array(4),
      barrierPlace: new Float64Array(0),
      barrierPass: new Float64Array(0),
      outOffsets: Uint32Array.of(0, 1, 3, 3),
      outArcs: Uint32Array.of(0, 1, 2),
    }
    const { node } = solveLoad(planLoad(loop, closedLoop), { ...source, load: Float64Array.of(100) })
    const what = 'load that goes round a loop'
    check({ what, source: 'geometric series, by hand', expected: 50 / (1 - 0.125), got: node[1], within: 5e-11 })
  })

  it('follows a loop too large to factor round until nothing moves', () => {
    // A ring of 600 arcs, T = exp(-1/50) each; a unit enters at node 0 through an arc of its own. By hand N_k = T^k / (1 - T^600).
    const size = 600
    const passed = Math.exp(-1 / 50)
    const arcs = [...Array(size).keys()]
    const ring: LoadSystem = {
      nodeCount: size + 1,
      arcCount: size + 1,
      from: Uint32Array.from([...arcs, size]),
      to: Uint32Array.from([...arcs.map(k => (k + 1) % size), 0]),
      length: new Float64Array(size + 1).fill(1),
      retention: Float64Array.from([...arcs.map(() => 50), Number.POSITIVE_INFINITY]),
      share: new Float64Array(size + 1).fill(1),
      barrierOffsets: new Uint32Array(size + 2),
      barrierPlace: new Float64Array(0),
      barrierPass: new Float64Array(0),
      outOffsets: Uint32Array.from([...arcs, size, size + 1]),
      outArcs: Uint32Array.from([...arcs, size]),
    }
    const plan = planLoad(ring, closedLoop)
    const { node, deposit } = solveLoad(plan, { ...source, arc: Uint32Array.of(size), load: Float64Array.of(1) })
    for (const k of [0, 1, 300, 599]) {
      expect(Math.abs((node[k]! * (1 - passed ** size)) / passed ** k - 1)).toBeLessThan(1e-10)
    }
    expect(deposit.reduce((sum, value) => sum + value, 0)).toBeCloseTo(1, 9)
    // The adjoint of all deposits is 1 wherever nothing leaves but by deposit.
    const value = solveAdjoint(plan, new Float64Array(size + 1).fill(1))
    for (const k of [0, 17, 599]) expect(value[k]).toBeCloseTo(1, 9)
  })
})
