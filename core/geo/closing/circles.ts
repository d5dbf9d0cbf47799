/** Circles as columns, metres. */
export interface Circles {
  readonly x: Float64Array
  readonly y: Float64Array
  readonly r: Float64Array
}

/** Circles as columns with room to spare, of which the first `count` are meant; filled anew for every set. */
export class CircleColumns implements Circles {
  count = 0
  x = new Float64Array(64)
  y = new Float64Array(64)
  r = new Float64Array(64)

  resize(count: number): void {
    this.count = count
    this.x = withRoom(this.x, count)
    this.y = withRoom(this.y, count)
    this.r = withRoom(this.r, count)
  }
}

/** The array, or a longer one, with its first `size` flags down. */
export function clearedFlags(flags: Uint8Array<ArrayBuffer>, size: number): Uint8Array<ArrayBuffer> {
  return size <= flags.length ? flags.fill(0, 0, size) : new Uint8Array(2 * size)
}

/** An array of at least `size` places that begins with `array`'s values; grows by halves again and again, so appending stays cheap. */
export function withRoom<T extends Float64Array | Int32Array>(array: T, size: number): T {
  if (size <= array.length) return array
  const grown = new (array.constructor as new (length: number) => T)(Math.max(size, 2 * array.length))
  grown.set(array)
  return grown
}
