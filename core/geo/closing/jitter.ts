import type { CircleColumns, Circles } from './circles.ts'

/** Outward jitter of radii, metres, an attempt: keeps circles through one point apart. Set by trial on perfect lattices. */
export const JITTERS = [1e-7, 3e-7, 9e-7, 9e-7] as const

export interface Growth {
  readonly half: number
  readonly centre: readonly [number, number]
  /** Which attempt this is, from 0. */
  readonly salt: number
}

/**
 * Writes the discs about `centre`, grown, each by its own trace of jitter outward (touching discs stay touching). The
 * trace is hashed from the bits of the disc, so that the order of the discs never matters.
 */
export function growCircles(discs: Circles, { half, centre, salt }: Growth, grown: CircleColumns): void {
  const disc = new Float64Array(3)
  const bits = new Int32Array(disc.buffer)
  const jitter = JITTERS[salt]! / 2 ** 32
  const { x, y, r } = discs
  grown.resize(r.length)
  for (let i = 0; i < r.length; i++) {
    disc[0] = x[i]!
    disc[1] = y[i]!
    disc[2] = r[i]!
    let hash = 0x811c9dc5 ^ salt
    for (let word = 0; word < 6; word++) hash = mix(hash ^ bits[word]!)
    grown.x[i] = x[i]! - centre[0]
    grown.y[i] = y[i]! - centre[1]
    grown.r[i] = r[i]! + half + jitter * (hash >>> 0)
  }
}

function mix(value: number): number {
  const hash = Math.imul(value ^ (value >>> 15), 0x85ebca6b)
  return hash ^ (hash >>> 13)
}
