import type { Circles } from './circles.ts'

/** Shares in [0, 1), one a disc, hashed from the bits of the disc, so that the order of the discs never matters. */
export function jitterShares({ x, y, r }: Circles, salt: number): Float64Array {
  const disc = new Float64Array(3)
  const bits = new Uint32Array(disc.buffer)
  const shares = new Float64Array(r.length)
  for (let i = 0; i < r.length; i++) {
    disc[0] = x[i]!
    disc[1] = y[i]!
    disc[2] = r[i]!
    let hash = (0x811c9dc5 ^ salt) | 0
    for (let word = 0; word < 6; word++) {
      hash = Math.imul(hash ^ bits[word]!, 0x85ebca6b)
      hash ^= hash >>> 15
      hash = Math.imul(hash, 0xc2b2ae35)
      hash ^= hash >>> 13
    }
    shares[i] = (hash >>> 0) / 2 ** 32
  }
  return shares
}
