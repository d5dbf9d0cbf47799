/** A queue that gives back the item of least key first; equal keys in the order of their items, so that runs repeat. */
export class LeastFirst {
  private keys = new Float64Array(1024)
  private items = new Int32Array(1024)
  private count = 0

  get size(): number {
    return this.count
  }

  push(key: number, item: number): void {
    if (this.count === this.keys.length) this.grow()
    let at = this.count++
    while (at > 0) {
      const up = (at - 1) >> 1
      if (!isBefore(key, item, this.keys[up] as number, this.items[up] as number)) break
      this.keys[at] = this.keys[up] as number
      this.items[at] = this.items[up] as number
      at = up
    }
    this.keys[at] = key
    this.items[at] = item
  }

  /** The least key and its item; the queue must not be empty. */
  pop(): { key: number; item: number } {
    const top = { key: this.keys[0] as number, item: this.items[0] as number }
    this.count--
    if (this.count > 0) this.sink(this.keys[this.count] as number, this.items[this.count] as number)
    return top
  }

  private sink(key: number, item: number): void {
    const { keys, items, count } = this
    let at = 0
    for (;;) {
      let child = 2 * at + 1
      if (child >= count) break
      const [k, i] = [keys[child] as number, items[child] as number]
      if (child + 1 < count && isBefore(keys[child + 1] as number, items[child + 1] as number, k, i)) child++
      if (!isBefore(keys[child] as number, items[child] as number, key, item)) break
      keys[at] = keys[child] as number
      items[at] = items[child] as number
      at = child
    }
    keys[at] = key
    items[at] = item
  }

  private grow(): void {
    const [keys, items] = [new Float64Array(2 * this.count), new Int32Array(2 * this.count)]
    keys.set(this.keys)
    items.set(this.items)
    this.keys = keys
    this.items = items
  }
}

const isBefore = (keyA: number, itemA: number, keyB: number, itemB: number): boolean =>
  keyA < keyB || (keyA === keyB && itemA < itemB)
