/** Sets of numbers 0 to n - 1 that are joined two by two (union-find with path halving; the smaller number leads). */
export class DisjointSets {
  readonly #parent: Int32Array

  constructor(size: number) {
    this.#parent = new Int32Array(size)
    for (let i = 0; i < size; i++) this.#parent[i] = i
  }

  leader(member: number): number {
    const parent = this.#parent
    let at = member
    while (parent[at] !== at) {
      parent[at] = parent[parent[at]!]!
      at = parent[at]!
    }
    return at
  }

  join(a: number, b: number): void {
    const [first, second] = [this.leader(a), this.leader(b)]
    this.#parent[Math.max(first, second)] = Math.min(first, second)
  }

  /** One number a member, equal within a set, counted in the order of the first members. */
  numbers(): Int32Array {
    const numbers = new Int32Array(this.#parent.length)
    let count = 0
    for (let i = 0; i < numbers.length; i++) {
      const leader = this.leader(i)
      // Leaders are the smallest of their sets, so they are numbered before their members.
      numbers[i] = leader === i ? count++ : numbers[leader]!
    }
    return numbers
  }
}
