/** A directed graph as lists: `targets[i]`, for i from offsets[v] to offsets[v + 1], are where the arcs of node v lead. */
export interface ArcLists {
  readonly nodeCount: number
  readonly offsets: Uint32Array
  readonly targets: Uint32Array
}

/**
 * Strongly connected components. `component[v]` falls along every arc between components: the highest number lies farthest upstream.
 * Accuracy and cost: linear; no recursion, so that a million reaches in a row do no harm.
 * Source: Tarjan (1972), Depth-first search and linear graph algorithms, SIAM J. Comput. 1:146-160, doi:10.1137/0201010.
 */
export interface StrongComponents {
  readonly component: Uint32Array
  readonly count: number
  /** Nodes by component: `nodes[offsets[c] .. offsets[c + 1]]`, ascending within each. */
  readonly offsets: Uint32Array
  readonly nodes: Uint32Array
}

const UNSEEN = 0xffffffff

export function findStrongComponents(graph: ArcLists): StrongComponents {
  const { nodeCount, offsets, targets } = graph
  const search = {
    component: new Uint32Array(nodeCount).fill(UNSEEN),
    index: new Uint32Array(nodeCount).fill(UNSEEN),
    low: new Uint32Array(nodeCount),
    open: new Uint32Array(nodeCount),
    openCount: 0,
    seen: 0,
    count: 0,
  }
  const path = new Uint32Array(nodeCount)
  const next = offsets.slice(0, nodeCount)
  for (let root = 0; root < nodeCount; root++) {
    if (search.index[root] !== UNSEEN) continue
    let depth = 0
    path[depth++] = root
    enter(search, root)
    while (depth > 0) {
      const node = path[depth - 1]!
      if (next[node]! < offsets[node + 1]!) {
        const target = targets[next[node]!++]!
        if (search.index[target] === UNSEEN) {
          path[depth++] = target
          enter(search, target)
        } else if (search.component[target] === UNSEEN && search.index[target]! < search.low[node]!) {
          search.low[node] = search.index[target]!
        }
        continue
      }
      depth--
      if (depth > 0 && search.low[node]! < search.low[path[depth - 1]!]!)
        search.low[path[depth - 1]!] = search.low[node]!
      if (search.low[node] === search.index[node]) closeComponent(search, node)
    }
  }
  return listNodes(search.component, search.count)
}

interface Search {
  readonly component: Uint32Array
  readonly index: Uint32Array
  readonly low: Uint32Array
  readonly open: Uint32Array
  openCount: number
  seen: number
  count: number
}

function enter(search: Search, node: number): void {
  search.index[node] = search.low[node] = search.seen++
  search.open[search.openCount++] = node
}

function closeComponent(search: Search, root: number): void {
  for (;;) {
    const node = search.open[--search.openCount]!
    search.component[node] = search.count
    if (node === root) break
  }
  search.count++
}

function listNodes(component: Uint32Array, count: number): StrongComponents {
  const offsets = new Uint32Array(count + 1)
  for (const c of component) offsets[c + 1]!++
  for (let c = 0; c < count; c++) offsets[c + 1]! += offsets[c]!
  const fill = offsets.slice(0, count)
  const nodes = new Uint32Array(component.length)
  for (let v = 0; v < component.length; v++) nodes[fill[component[v]!]!++] = v
  return { component, count, offsets, nodes }
}
