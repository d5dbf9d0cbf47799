/** A seeded stream of uniform numbers in [0, 1); the only randomness that core knows. */
export interface Random {
  next(): number
  /** A whole number in [0, below). */
  integer(below: number): number
  /** Standard normal. */
  normal(): number
}

/**
 * Generator sfc32, seeded by splitmix32.
 * Source: Doty-Humphrey, C. (2010) PractRand, sfc32; Steele, Lea and Flood (2014) for the seeding mix. Constants from memory.
 */
export function createRandom(seed: number): Random {
  const mix = splitmix(seed)
  let [a, b, c, counter] = [mix(), mix(), mix(), 1]
  const bits = () => {
    const sum = (((a + b) | 0) + counter) | 0
    counter = (counter + 1) | 0
    a = b ^ (b >>> 9)
    b = (c + (c << 3)) | 0
    c = ((c << 21) | (c >>> 11)) + sum
    c |= 0
    return sum >>> 0
  }
  for (let i = 0; i < 12; i++) bits()
  const next = () => (bits() >>> 5) * 2 ** -27 + (bits() >>> 6) * 2 ** -53
  return {
    next,
    integer: below => Math.floor(next() * below),
    // Box and Muller (1958), one of the pair; 1 - u keeps the logarithm finite.
    normal: () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
  }
}

function splitmix(seed: number): () => number {
  let state = seed | 0
  return () => {
    state = (state + 0x9e3779b9) | 0
    let value = state ^ (state >>> 16)
    value = Math.imul(value, 0x21f0aaad)
    value ^= value >>> 15
    value = Math.imul(value, 0x735a2d97)
    return (value ^ (value >>> 15)) | 0
  }
}
