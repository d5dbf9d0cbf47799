import { draws } from './seeded.ts'
import { cos, sin, TAU } from './steady-math.ts'

/** A smooth random field over the plane, about -1 to 1, with features of the given size in metres. */
export type Field = (x: number, y: number) => number

/** Gradient noise with quintic easing on a lattice of `size` metres. */
export function buildField(name: string, size: number): Field {
  const random = draws(`field ${name}`)
  const n = 64
  const gx = new Float64Array(n * n)
  const gy = new Float64Array(n * n)
  for (let i = 0; i < n * n; i++) {
    const angle = TAU * random.unit()
    gx[i] = cos(angle)
    gy[i] = sin(angle)
  }
  const ease = (t: number) => t * t * t * (t * (t * 6 - 15) + 10)
  return (x, y) => {
    const u = x / size
    const v = y / size
    const i = Math.floor(u)
    const j = Math.floor(v)
    const fu = u - i
    const fv = v - j
    const corner = (di: number, dj: number) => {
      const k = (((j + dj) % n) + n) % n
      const at = k * n + ((((i + di) % n) + n) % n)
      return (gx[at] as number) * (fu - di) + (gy[at] as number) * (fv - dj)
    }
    const a = ease(fu)
    const b = ease(fv)
    const low = corner(0, 0) + a * (corner(1, 0) - corner(0, 0))
    const high = corner(0, 1) + a * (corner(1, 1) - corner(0, 1))
    return 1.5 * (low + b * (high - low))
  }
}

/** Sum of `octaves` fields, each half the size and half the height of the one before. */
export function buildRoughField(name: string, size: number, octaves: number): Field {
  const fields = Array.from({ length: octaves }, (_, k) => buildField(`${name} ${k}`, size / 2 ** k))
  return (x, y) => fields.reduce((sum, field, k) => sum + field(x, y) / 2 ** k, 0)
}
