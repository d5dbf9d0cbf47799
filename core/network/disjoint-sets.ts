/** Disjoint sets over 0 .. count - 1; the smallest member stands for its set, whatever the order of the unions. */
export class DisjointSets {
  readonly #parent: Uint32Array

  constructor(count: number) {
    this.#parent = new Uint32Array(count)
    for (let i = 0; i < count; i++) this.#parent[i] = i
  }

  find(member: number): number {
    const parent = this.#parent
    let root = member
    while (parent[root] !== root) root = parent[root]!
    for (let at = member; at !== root; ) {
      const next = parent[at]!
      parent[at] = root
      at = next
    }
    return root
  }

  join(a: number, b: number): void {
    const [rootA, rootB] = [this.find(a), this.find(b)]
    if (rootA < rootB) this.#parent[rootB] = rootA
    else this.#parent[rootA] = rootB
  }
}
