import type { StrongComponents } from '../network/index.ts'
import type { LoadSystem } from './load-model.ts'

/** Nodes of a loop up to which a dense factorisation is made; beyond, the flow is followed round until nothing moves. */
const DENSE_LIMIT = 500
const MOST_ROUNDS = 1_000_000

/**
 * One loop (strongly connected component): the matrix 1 - A over its nodes, A[v, u] = sum of share x passed over arcs u -> v.
 * Its columns are diagonally dominant, so that LU needs no pivots.
 * Source: Golub and Van Loan (2013), Matrix computations, 4th ed., section 3.2 and theorem 4.1.1 (for columns).
 */
export interface LoopFactor {
  readonly nodes: Uint32Array
  /** L and U in one square, row by row; null for a loop too large for it. */
  readonly dense: Float64Array | null
  /** The entries of A: to, from (positions in `nodes`) and value. */
  readonly to: Uint32Array
  readonly from: Uint32Array
  readonly value: Float64Array
}

export function factorLoop(
  system: LoadSystem,
  components: StrongComponents,
  passed: Float64Array,
  c: number,
): LoopFactor {
  const nodes = components.nodes.slice(components.offsets[c]!, components.offsets[c + 1]!)
  const position = new Map<number, number>()
  nodes.forEach((node, i) => {
    position.set(node, i)
  })
  const to: number[] = []
  const from: number[] = []
  const value: number[] = []
  nodes.forEach((node, i) => {
    for (let k = system.outOffsets[node]!; k < system.outOffsets[node + 1]!; k++) {
      const arc = system.outArcs[k]!
      const target = position.get(system.to[arc]!)
      if (target === undefined) continue
      to.push(target)
      from.push(i)
      value.push(system.share[arc]! * passed[arc]!)
    }
  })
  const entries = { to: Uint32Array.from(to), from: Uint32Array.from(from), value: Float64Array.from(value) }
  return { nodes, dense: nodes.length <= DENSE_LIMIT ? factorDense(nodes.length, entries) : null, ...entries }
}

function factorDense(size: number, { to, from, value }: Pick<LoopFactor, 'to' | 'from' | 'value'>): Float64Array {
  const a = new Float64Array(size * size)
  for (let i = 0; i < size; i++) a[i * size + i] = 1
  for (let k = 0; k < value.length; k++) a[to[k]! * size + from[k]!]! -= value[k]!
  for (let p = 0; p < size; p++) {
    const pivot = a[p * size + p]!
    for (let i = p + 1; i < size; i++) {
      const factor = a[i * size + p]! / pivot
      if (factor === 0) continue
      a[i * size + p] = factor
      for (let j = p + 1; j < size; j++) a[i * size + j]! -= factor * a[p * size + j]!
    }
  }
  return a
}

/** Solves (1 - A) x = b; `at` holds b at the loop's nodes before and x after. */
export function solveLoop(loop: LoopFactor, at: Float64Array): void {
  const { nodes, dense } = loop
  if (dense === null) {
    followRound(loop, at, loop.from, loop.to)
    return
  }
  const size = nodes.length
  for (let i = 0; i < size; i++) {
    let sum = at[nodes[i]!]!
    for (let j = 0; j < i; j++) sum -= dense[i * size + j]! * at[nodes[j]!]!
    at[nodes[i]!] = sum
  }
  for (let i = size - 1; i >= 0; i--) {
    let sum = at[nodes[i]!]!
    for (let j = i + 1; j < size; j++) sum -= dense[i * size + j]! * at[nodes[j]!]!
    at[nodes[i]!] = sum / dense[i * size + i]!
  }
}

/** Solves the transposed system with the same factors. */
export function solveLoopTransposed(loop: LoopFactor, at: Float64Array): void {
  const { nodes, dense } = loop
  if (dense === null) {
    followRound(loop, at, loop.to, loop.from)
    return
  }
  const size = nodes.length
  for (let i = 0; i < size; i++) {
    let sum = at[nodes[i]!]!
    for (let j = 0; j < i; j++) sum -= dense[j * size + i]! * at[nodes[j]!]!
    at[nodes[i]!] = sum / dense[i * size + i]!
  }
  for (let i = size - 1; i >= 0; i--) {
    let sum = at[nodes[i]!]!
    for (let j = i + 1; j < size; j++) sum -= dense[j * size + i]! * at[nodes[j]!]!
    at[nodes[i]!] = sum
  }
}

/** The sum b + A b + A A b ..., round by round: all terms are positive, so that nothing cancels. */
function followRound(loop: LoopFactor, at: Float64Array, source: Uint32Array, target: Uint32Array): void {
  const { nodes, value } = loop
  let term = Float64Array.from(nodes, node => at[node]!)
  let next = new Float64Array(nodes.length)
  for (let round = 0; round < MOST_ROUNDS; round++) {
    next.fill(0)
    for (let k = 0; k < value.length; k++) next[target[k]!]! += value[k]! * term[source[k]!]!
    let [added, sum] = [0, 0]
    for (let i = 0; i < nodes.length; i++) {
      at[nodes[i]!]! += next[i]!
      added += next[i]!
      sum += at[nodes[i]!]!
    }
    if (!(added > 1e-16 * sum)) return
    ;[term, next] = [next, term]
  }
  throw new Error(`A loop of ${nodes.length} nodes did not settle in ${MOST_ROUNDS} rounds.`)
}
