import fc from 'fast-check'
import { expect, it } from 'vitest'
import { routeDownstream } from '../../core/downstream/index.ts'
import { createTask, type LoadOnReaches } from '../../core/model/index.ts'
import { check } from '../reference/check.ts'
import { anyCase, inputOf } from './load-inputs.ts'

const largestReachError = ({ loadIn, loadOwn, loadOut, deposit, held, unrouted }: LoadOnReaches): number =>
  loadIn.reduce((worst, flow, r) => {
    const enters = flow + loadOwn[r]!
    const leaves = loadOut[r]! + deposit[r]! + held[r]! + unrouted[r]!
    return enters > 0 ? Math.max(worst, Math.abs(enters - leaves) / enters) : worst
  }, 0)

/** Definitions 3.3, 3.6 and 3.10 on networks with splits, loops, both-ways and unknown reaches and barriers, from lines to answer. */
it('balances to 1e-9 on 1,000 random networks, and the adjoint equals the forward model without the patch', async () => {
  const seen = { loops: 0, splits: 0, held: 0, unrouted: 0, stranded: 0, outlets: 0, worst: 0, worstAdjoint: 0 }
  await fc.assert(
    fc.asyncProperty(anyCase, async example => {
      const input = await inputOf(example)
      if (input === null) return
      const answer = await routeDownstream(input, createTask())
      for (const load of [answer.ordinary, answer.flood]) {
        seen.worst = Math.max(seen.worst, load.balance.balanceError, largestReachError(load))
        expect(load.balance.balanceError).toBeLessThan(1e-9)
        expect(largestReachError(load)).toBeLessThan(1e-9)
        expect([...load.deposit, ...load.held, ...load.loadOut].every(value => value >= 0)).toBe(true)
      }
      const { balance, averted } = answer.ordinary
      const without = await routeDownstream({ ...input, patches: input.patches.slice(1) }, createTask())
      const difference = balance.depositTotal - without.ordinary.balance.depositTotal
      const error = Math.abs(averted[0]! - difference) / Math.max(balance.loadTotal, 1e-300)
      seen.worstAdjoint = Math.max(seen.worstAdjoint, error)
      expect(error).toBeLessThan(1e-9)
      seen.loops += input.network.problems.some(({ kind }) => kind === 'loop') ? 1 : 0
      const { from } = input.network
      const { loadIn } = answer.ordinary
      const isSplit = from.some(
        (node, r) => loadIn[r]! > 0 && from.some((other, k) => k > r && other === node && loadIn[k]! > 0),
      )
      seen.splits += isSplit ? 1 : 0
      seen.held += balance.heldTotal > 0 ? 1 : 0
      seen.unrouted += balance.unroutedTotal > 0 ? 1 : 0
      seen.stranded += balance.strandedTotal > 0 ? 1 : 0
      seen.outlets += balance.outletTotal > 0 ? 1 : 0
    }),
    { numRuns: 1000, seed: 20240501 },
  )
  // The cases must hold what the claim is about.
  expect(Math.min(seen.loops, seen.splits, seen.held, seen.unrouted, seen.stranded, seen.outlets)).toBeGreaterThan(50)
  const source = 'conservation of mass, 1,000 random networks'
  check({ what: 'mass balance, worst relative error', source, expected: 0, got: seen.worst, within: 1e-9 })
  const without = 'the forward model without the patch'
  check({ what: 'adjoint, worst relative error', source: without, expected: 0, got: seen.worstAdjoint, within: 1e-9 })
  if (process.env['SHOW_FIGURES']) process.stdout.write(`${JSON.stringify(seen)}\n`)
})
