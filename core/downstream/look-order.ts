import { LOOK_ORDER } from '../model/index.ts'

const [NONE, FIRST, NEXT, LOW] = LOOK_ORDER.map((_, i) => i) as [number, number, number, number]

/** Shares of the bank length with any deposit that are looked at first, and up to the end of next. */
export const LOOK_SHARES = { first: 0.1, next: 0.25 } as const

export interface LookRanks {
  /** Index into LOOK_ORDER, a reach. */
  readonly look: Uint8Array
  /** 1 = largest deposit a metre of bank; 0 where there is none. */
  readonly rank: Uint32Array
  /** Reaches with any deposit, in the order of looking. */
  readonly order: Uint32Array
}

/**
 * The order of looking: reaches by deposit a metre of bank, largest first. A reach belongs to the class in which it begins
 * when the reaches are laid end to end in that order, so that the first one is always looked at first.
 */
export function rankForLooking(deposit: Float64Array, length: Float64Array): LookRanks {
  const order = reachesWithDeposit(deposit)
  order.sort((a, b) => deposit[b]! / length[b]! - deposit[a]! / length[a]! || deposit[b]! - deposit[a]! || a - b)
  const look = new Uint8Array(deposit.length).fill(NONE)
  const rank = new Uint32Array(deposit.length)
  order.forEach((reach, i) => {
    rank[reach] = i + 1
  })
  classify(order, length, (reach, kind) => {
    look[reach] = kind
  })
  return { look, rank, order }
}

export function reachesWithDeposit(deposit: Float64Array): Uint32Array {
  let count = 0
  for (const value of deposit) if (value > 0) count++
  const reaches = new Uint32Array(count)
  let used = 0
  for (let r = 0; r < deposit.length; r++) if (deposit[r]! > 0) reaches[used++] = r
  return reaches
}

/** Class of a reach that begins after a share of the bank; the last digits of a sum of lengths decide nothing. */
function classAt(before: number): number {
  if (before < LOOK_SHARES.first - 1e-9) return FIRST
  return before < LOOK_SHARES.next - 1e-9 ? NEXT : LOW
}

/** Tells the class of each reach of an order. */
function classify(order: Uint32Array, length: Float64Array, tell: (reach: number, kind: number) => void): void {
  let total = 0
  for (const reach of order) total += length[reach]!
  let before = 0
  for (const reach of order) {
    tell(reach, classAt(before / total))
    before += length[reach]!
  }
}

/** Sorts many times over the same reaches for the draws, by a radix sort on the leading 32 bits of the density. */
/** From so many reaches on, two passes over 65,536 counts are quicker than comparing. */
const MANY = 20_000

export class LookDraws {
  readonly #reaches: Uint32Array
  readonly #length: Float64Array
  readonly #density: Float64Array
  readonly #words: Uint32Array
  #order: Uint32Array
  #spare: Uint32Array

  constructor(reaches: Uint32Array, length: Float64Array) {
    this.#reaches = reaches
    this.#length = length
    this.#density = new Float64Array(reaches.length)
    this.#words = new Uint32Array(this.#density.buffer)
    this.#order = new Uint32Array(reaches.length)
    this.#spare = new Uint32Array(reaches.length)
  }

  /** Calls `tell` with the position in the reaches and the class of each. Accuracy: densities within 1e-6 of each other may swap. */
  classify(deposit: Float64Array, tell: (position: number, kind: number) => void): void {
    const count = this.#reaches.length
    let total = 0
    for (let i = 0; i < count; i++) {
      const reach = this.#reaches[i]!
      this.#density[i] = deposit[reach]! / this.#length[reach]!
      this.#order[i] = i
      if (deposit[reach]! > 0) total += this.#length[reach]!
    }
    if (count < MANY) this.#order.sort((a, b) => this.#density[a]! - this.#density[b]! || a - b)
    else {
      this.#sortBy(0)
      this.#sortBy(16)
    }
    let before = 0
    for (let i = count - 1; i >= 0; i--) {
      const position = this.#order[i]!
      tell(position, classAt(before / total))
      before += this.#length[this.#reaches[position]!]!
    }
  }

  /** One stable pass over 16 bits of the high word; positive doubles sort like whole numbers. */
  #sortBy(shift: number): void {
    const counts = new Uint32Array(65_537)
    const key = (position: number) => (this.#words[2 * position + 1]! >>> shift) & 0xffff
    for (const position of this.#order) counts[key(position) + 1]!++
    for (let i = 0; i < 65_536; i++) counts[i + 1]! += counts[i]!
    for (const position of this.#order) this.#spare[counts[key(position)]!++] = position
    ;[this.#order, this.#spare] = [this.#spare, this.#order]
  }
}
