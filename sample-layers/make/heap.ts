/** A queue that gives back the item of least key first; equal keys in the order of their items, so that runs repeat. */
export class LeastFirst {
  private readonly keys: number[] = []
  private readonly items: number[] = []

  get size(): number {
    return this.items.length
  }

  push(key: number, item: number): void {
    let at = this.items.length
    this.keys.push(key)
    this.items.push(item)
    while (at > 0) {
      const up = (at - 1) >> 1
      if (!this.isBefore(at, up)) break
      this.swap(at, up)
      at = up
    }
  }

  pop(): { key: number; item: number } {
    const top = { key: this.keys[0] as number, item: this.items[0] as number }
    const key = this.keys.pop() as number
    const item = this.items.pop() as number
    if (this.items.length > 0) {
      this.keys[0] = key
      this.items[0] = item
      this.sink()
    }
    return top
  }

  private sink(): void {
    let at = 0
    for (;;) {
      let least = at
      for (const child of [2 * at + 1, 2 * at + 2])
        if (child < this.items.length && this.isBefore(child, least)) least = child
      if (least === at) return
      this.swap(at, least)
      at = least
    }
  }

  private isBefore(a: number, b: number): boolean {
    const difference = (this.keys[a] as number) - (this.keys[b] as number)
    return difference < 0 || (difference === 0 && (this.items[a] as number) < (this.items[b] as number))
  }

  private swap(a: number, b: number): void {
    const key = this.keys[a] as number
    const item = this.items[a] as number
    this.keys[a] = this.keys[b] as number
    this.items[a] = this.items[b] as number
    this.keys[b] = key
    this.items[b] = item
  }
}
