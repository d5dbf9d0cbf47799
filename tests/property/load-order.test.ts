import fc from 'fast-check'
import { expect, it } from 'vitest'
import { type DownstreamInput, routeDownstream } from '../../core/downstream/index.ts'
import { createTask, type ReachNetwork } from '../../core/model/index.ts'
import { buildNetwork } from '../../core/network/index.ts'
import { linesLayer, type TestLine } from '../reference/network-lines.ts'
import { anyCase, inputOf, linesOf } from './load-inputs.ts'

const networkOf = (lines: readonly TestLine[]): Promise<ReachNetwork> =>
  buildNetwork({ lines: linesLayer(lines), fields: {}, snap: 2, isNodingCrossings: false, outlets: [] }, createTask())

const named = (lines: readonly TestLine[]): TestLine[] =>
  lines.map((line, i) => ({ ...line, attributes: { ...line.attributes, id: `line ${i}` } }))

/** Deposit and rank by line. Ranks of equal densities may swap, so that they are compared through the deposits. */
async function depositsByLine(input: DownstreamInput, network: ReachNetwork) {
  const { ordinary } = await routeDownstream({ ...input, network }, createTask())
  const byLine = new Map<string, number>()
  const ranked = new Map<string, number>()
  for (let r = 0; r < network.reachCount; r++) {
    byLine.set(network.lines[network.line[r]!]!.id, ordinary.deposit[r]!)
    ranked.set(network.lines[network.line[r]!]!.id, ordinary.rank[r]!)
  }
  return { byLine, ranked, total: ordinary.balance.loadTotal }
}

type Deposits = Awaited<ReturnType<typeof depositsByLine>>

function expectSame(a: Deposits, b: Deposits): void {
  expect([...a.byLine.keys()].sort()).toEqual([...b.byLine.keys()].sort())
  for (const [line, deposit] of a.byLine) {
    expect(Math.abs(deposit - b.byLine.get(line)!)).toBeLessThanOrEqual(1e-9 * a.total)
  }
  for (const [line, rank] of a.ranked) {
    const other = b.ranked.get(line)!
    if (rank === other) continue
    // A swap is allowed only between equal densities.
    const rival = [...b.ranked].find(([, at]) => at === rank)?.[0]
    expect(rival === undefined ? 0 : Math.abs(a.byLine.get(rival)! - b.byLine.get(rival)!)).toBeLessThanOrEqual(
      1e-9 * a.total,
    )
  }
}

it('gives the same deposits and ranks whatever the order of the lines', async () => {
  await fc.assert(
    fc.asyncProperty(anyCase, fc.integer({ min: 1, max: 13 }), async (example, turn) => {
      const input = await inputOf(example)
      if (input === null) return
      const lines = named(linesOf(example))
      const turned = [...lines.slice(turn % lines.length), ...lines.slice(0, turn % lines.length)]
      const [first, second] = [await networkOf(lines), await networkOf(turned)]
      expect([...second.nodePosition]).toEqual([...first.nodePosition])
      expectSame(await depositsByLine(input, first), await depositsByLine(input, second))
    }),
    { numRuns: 60, seed: 7 },
  )
})

it('gives the same deposits and ranks when directed lines are digitised the other way round', async () => {
  const opposite: Record<string, string> = { with: 'against', against: 'with' }
  await fc.assert(
    fc.asyncProperty(anyCase, async example => {
      const directed = {
        ...example,
        lines: example.lines.map(line => ({ ...line, direction: line.direction || 'with' })),
      }
      const input = await inputOf(directed)
      if (input === null) return
      const isBoth = (line: TestLine) => line.attributes?.direction === 'both'
      const lines = named(linesOf(directed)).map(line => {
        const share = isBoth(line) ? 0.5 : (line.attributes?.share ?? 0.5)
        return { ...line, attributes: { ...line.attributes, share } }
      })
      const turned = lines.map(line => {
        const direction = String((line as TestLine).attributes?.direction)
        const attributes = { ...line.attributes, direction: opposite[direction] ?? direction }
        return { path: [...line.path].reverse(), attributes }
      })
      // A line that flows both ways has its share at the digitised start: those are left as they were.
      const mixed = turned.map((line, i) => (isBoth(lines[i]!) ? lines[i]! : line))
      expectSame(
        await depositsByLine(input, await networkOf(lines)),
        await depositsByLine(input, await networkOf(mixed)),
      )
    }),
    { numRuns: 60, seed: 11 },
  )
})

it('finds the same band and firmness from the same seed', async () => {
  const [example] = fc.sample(anyCase, { numRuns: 1, seed: 5 })
  const input = (await inputOf(example!))!
  const seeded = { ...input, settings: { ...input.settings, draws: 40 } }
  const [a, b] = [await routeDownstream(seeded, createTask()), await routeDownstream(seeded, createTask())]
  expect(b).toEqual(a)
  expect(a.ordinary.chanceHigh.some((high, r) => high > a.ordinary.chanceLow[r]!)).toBe(true)
})
