/** Circles as columns, metres. */
export interface Circles {
  readonly x: Float64Array
  readonly y: Float64Array
  readonly r: Float64Array
}

/** An array of at least `size` places that begins with `array`'s values; grows by halves again and again, so appending stays cheap. */
export function withRoom<T extends Float64Array | Int32Array>(array: T, size: number): T {
  if (size <= array.length) return array
  const grown = new (array.constructor as new (length: number) => T)(Math.max(size, 2 * array.length))
  grown.set(array)
  return grown
}
