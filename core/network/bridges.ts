import type { NodeLists } from './flow-graph.ts'

/**
 * Reaches that hold two parts of the network together: without one, there is no other way between its ends.
 * Gives 1 for those, 0 for reaches that are part of a braid (a cycle, whatever the direction of flow).
 * Source: Tarjan (1974), A note on finding the bridges of a graph, Inform. Process. Lett. 2:160-161.
 */
export function findBridges(from: Uint32Array, to: Uint32Array, ends: NodeLists): Uint8Array {
  const nodeCount = ends.offsets.length - 1
  const isBridge = new Uint8Array(from.length)
  const index = new Uint32Array(nodeCount)
  const low = new Uint32Array(nodeCount)
  const next = ends.offsets.slice(0, nodeCount)
  const path = new Uint32Array(nodeCount)
  const reachTo = new Int32Array(nodeCount).fill(-1)
  let seen = 0
  for (let root = 0; root < nodeCount; root++) {
    if (index[root] !== 0) continue
    let depth = 0
    path[depth++] = root
    index[root] = low[root] = ++seen
    while (depth > 0) {
      const node = path[depth - 1]!
      if (next[node]! < ends.offsets[node + 1]!) {
        const reach = ends.items[next[node]!++]! >> 1
        if (reach === reachTo[node]) continue
        const other = from[reach] === node ? to[reach]! : from[reach]!
        if (index[other] === 0) {
          path[depth++] = other
          reachTo[other] = reach
          index[other] = low[other] = ++seen
        } else if (index[other]! < low[node]!) low[node] = index[other]!
        continue
      }
      depth--
      if (depth === 0) continue
      const above = path[depth - 1]!
      if (low[node]! < low[above]!) low[above] = low[node]!
      if (low[node]! > index[above]!) isBridge[reachTo[node]!] = 1
    }
  }
  return isBridge
}
