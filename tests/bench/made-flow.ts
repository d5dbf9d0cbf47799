import type { Entries, LoadSystem } from '../../core/downstream/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { SEED } from './made-data.ts'

/** A load system of `side` x `side` nodes that drain row by row, one node in thirty by two ways; and loads at random on it. */
export function makeFlow(side: number, loads: number): { readonly system: LoadSystem; readonly entries: Entries } {
  const random = createRandom(SEED)
  const from: number[] = []
  const to: number[] = []
  for (let node = side * side - 1; node >= side; node--) {
    const [row, column] = [Math.floor(node / side) - 1, node % side]
    from.push(node)
    to.push(row * side + Math.min(side - 1, Math.max(0, column + random.integer(3) - 1)))
    if (random.next() >= 1 / 30) continue
    from.push(node)
    to.push(row * side + column)
  }
  const [nodeCount, arcCount] = [side * side, from.length]
  const outOffsets = new Uint32Array(nodeCount + 1)
  for (const node of from) outOffsets[node + 1]!++
  for (let node = 0; node < nodeCount; node++) outOffsets[node + 1]! += outOffsets[node]!
  const fill = outOffsets.slice(0, nodeCount)
  const outArcs = new Uint32Array(arcCount)
  from.forEach((node, arc) => {
    outArcs[fill[node]!++] = arc
  })
  const system = {
    nodeCount,
    arcCount,
    from: Uint32Array.from(from),
    to: Uint32Array.from(to),
    length: Float64Array.from({ length: arcCount }, () => 20 + 200 * random.next()),
    retention: new Float64Array(arcCount).fill(2000),
    share: Float64Array.from(from, node => 1 / (outOffsets[node + 1]! - outOffsets[node]!)),
    barrierOffsets: new Uint32Array(arcCount + 1),
    barrierPlace: new Float64Array(0),
    barrierPass: new Float64Array(0),
    outOffsets,
    outArcs,
  }
  const entries = {
    arc: Uint32Array.from({ length: loads }, () => random.integer(arcCount)),
    place: new Float64Array(loads),
    load: Float64Array.from({ length: loads }, () => 1000 * random.next()),
  }
  return { system, entries }
}
