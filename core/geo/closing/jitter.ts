import { type CircleColumns, type Circles, withRoom } from './circles.ts'

/** Outward jitter of radii, metres, an attempt: keeps circles through one point apart. Set by trial on perfect lattices. */
export const JITTERS = [1e-7, 3e-7, 9e-7, 9e-7] as const

export interface Growth {
  readonly half: number
  readonly centre: readonly [number, number]
  /** Which attempt this is, from 0. */
  readonly salt: number
}

/** Grows discs; keeps its memory from set to set. */
export class CircleGrower {
  readonly #disc = new Float64Array(3)
  readonly #bits = new Int32Array(this.#disc.buffer)
  #slots = new Int32Array(64)

  /**
   * Writes the discs about `centre`, grown, each by its own trace of jitter outward (touching discs stay touching). The
   * trace is hashed from the bits of the disc, so that the order of the discs never matters. Of discs that are the same
   * to the last bit the first stands.
   */
  grow(discs: Circles, { half, centre, salt }: Growth, grown: CircleColumns): void {
    const jitter = JITTERS[salt]! / 2 ** 32
    const { x, y, r } = discs
    const mask = 2 ** Math.ceil(Math.log2(2 * r.length + 2)) - 1
    const slots = withRoom(this.#slots, mask + 1).fill(0, 0, mask + 1)
    this.#slots = slots
    grown.resize(r.length)
    let count = 0
    for (let i = 0; i < r.length; i++) {
      const hash = this.#hash(x[i]!, y[i]!, r[i]!, salt)
      grown.x[count] = x[i]! - centre[0]
      grown.y[count] = y[i]! - centre[1]
      grown.r[count] = r[i]! + half + jitter * (hash >>> 0)
      // Slots hold the number of a circle plus one; 0 is free.
      let slot = hash & mask
      while (slots[slot] !== 0 && !isSame(grown, slots[slot]! - 1, count)) slot = (slot + 1) & mask
      if (slots[slot] === 0) slots[slot] = ++count
    }
    grown.count = count
  }

  #hash(x: number, y: number, r: number, salt: number): number {
    const [disc, bits] = [this.#disc, this.#bits]
    disc[0] = x
    disc[1] = y
    disc[2] = r
    let hash = 0x811c9dc5 ^ salt
    for (let word = 0; word < 6; word++) hash = mix(hash ^ bits[word]!)
    return hash
  }
}

const isSame = ({ x, y, r }: Circles, a: number, b: number): boolean => x[a] === x[b] && y[a] === y[b] && r[a] === r[b]

function mix(value: number): number {
  const hash = Math.imul(value ^ (value >>> 15), 0x85ebca6b)
  return hash ^ (hash >>> 13)
}
