/**
 * The order that sorts whole numbers from 0 to 2^32 - 1: positions by ascending value, equal values in their own order.
 * Cost: linear (radix sort by 16 bits, the lower ones first).
 */
export function orderOfKeys(keys: Uint32Array): Uint32Array {
  const count = keys.length
  const first = new Uint32Array(count)
  const second = new Uint32Array(count)
  const low = countDigits(keys, 0)
  for (let i = 0; i < count; i++) first[low[keys[i]! & 0xffff]!++] = i
  const high = countDigits(keys, 16)
  for (let i = 0; i < count; i++) second[high[keys[first[i]!]! >>> 16]!++] = first[i]!
  return second
}

/** Where the items of each digit begin. */
function countDigits(keys: Uint32Array, shift: number): Uint32Array {
  const starts = new Uint32Array(65_537)
  for (let i = 0; i < keys.length; i++) starts[((keys[i]! >>> shift) & 0xffff) + 1]!++
  for (let digit = 0; digit < 65_536; digit++) starts[digit + 1]! += starts[digit]!
  return starts
}
