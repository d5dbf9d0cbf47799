/** A binary heap of (key, item); gives the item with the least key, the smaller item among equal keys. */
export class LeastHeap {
  #keys = new Float64Array(64)
  #items = new Uint32Array(64)
  #size = 0

  get size(): number {
    return this.#size
  }

  get leastKey(): number {
    return this.#keys[0]!
  }

  push(key: number, item: number): void {
    if (this.#size === this.#keys.length) this.#grow()
    let at = this.#size++
    while (at > 0) {
      const above = (at - 1) >> 1
      if (!this.#isBefore(key, item, above)) break
      this.#set(at, this.#keys[above]!, this.#items[above]!)
      at = above
    }
    this.#set(at, key, item)
  }

  /** The item with the least key; the heap must not be empty. */
  pop(): number {
    if (this.#size === 0) throw new Error('The heap is empty.')
    const item = this.#items[0]!
    const last = --this.#size
    if (last > 0) this.#sink(this.#keys[last]!, this.#items[last]!)
    return item
  }

  #sink(key: number, item: number): void {
    let at = 0
    for (;;) {
      let below = 2 * at + 1
      if (below >= this.#size) break
      if (below + 1 < this.#size && this.#isBefore(this.#keys[below + 1]!, this.#items[below + 1]!, below)) below++
      if (this.#isBefore(key, item, below)) break
      this.#set(at, this.#keys[below]!, this.#items[below]!)
      at = below
    }
    this.#set(at, key, item)
  }

  #isBefore(key: number, item: number, other: number): boolean {
    const otherKey = this.#keys[other]!
    return key < otherKey || (key === otherKey && item < this.#items[other]!)
  }

  #set(at: number, key: number, item: number): void {
    this.#keys[at] = key
    this.#items[at] = item
  }

  #grow(): void {
    const keys = new Float64Array(this.#keys.length * 2)
    const items = new Uint32Array(this.#items.length * 2)
    keys.set(this.#keys)
    items.set(this.#items)
    this.#keys = keys
    this.#items = items
  }
}
