import { cos, exp, log, TAU } from './steady-math.ts'

/** A stream of seeded draws: each part of the county has its own, so that a change in one leaves the others as they were. */
export interface Draws {
  /** Uniform in [0, 1). */
  unit(): number
  between(low: number, high: number): number
  /** Whole number in [low, high]. */
  whole(low: number, high: number): number
  chance(probability: number): boolean
  /** Standard normal. */
  normal(): number
  /** Log-normal with this median and this standard deviation of the logarithm. */
  around(median: number, spread: number): number
  pick<T>(list: readonly T[]): T
  shuffled<T>(list: readonly T[]): T[]
}

function hash(text: string): number {
  let h = 2166136261
  for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 16777619)
  return h >>> 0
}

/** The draws that belong to a name, e.g. `draws('terrain')`. */
export function draws(name: string): Draws {
  let state = hash(`vinereach sample county ${name}`)
  const unit = () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
  const between = (low: number, high: number) => low + (high - low) * unit()
  const whole = (low: number, high: number) => low + Math.floor(unit() * (high - low + 1))
  const normal = () => Math.sqrt(-2 * log(1 - unit())) * cos(TAU * unit())
  const pick = <T>(list: readonly T[]): T => list[Math.floor(unit() * list.length)] as T
  const shuffled = <T>(list: readonly T[]): T[] => {
    const copy = [...list]
    for (let i = copy.length - 1; i > 0; i--) {
      const j = whole(0, i)
      const held = copy[i] as T
      copy[i] = copy[j] as T
      copy[j] = held
    }
    return copy
  }
  return {
    unit,
    between,
    whole,
    normal,
    pick,
    shuffled,
    chance: probability => unit() < probability,
    around: (median, spread) => median * exp(spread * normal()),
  }
}
