import type { HatchFill } from './display-list.ts'

/** One tile of a hatch: its size and the marks on it, points, y down; the tile repeats without a seam. */
export interface HatchTile {
  readonly size: number
  readonly lines: readonly (readonly [x0: number, y0: number, x1: number, y1: number])[]
  readonly dots: readonly (readonly [x: number, y: number])[]
}

/** The tile that draws a hatch, the same on every page and in every format. */
export function hatchTile({ hatch, gap }: HatchFill): HatchTile {
  if (hatch === 'dots') {
    return {
      size: gap * 2,
      lines: [],
      dots: [
        [gap / 2, gap / 2],
        [gap * 1.5, gap * 1.5],
      ],
    }
  }
  if (hatch === 'level') return { size: gap, lines: [[-1, gap / 2, gap + 1, gap / 2]], dots: [] }
  if (hatch === 'upright') return { size: gap, lines: [[gap / 2, -1, gap / 2, gap + 1]], dots: [] }
  const size = gap * Math.SQRT2
  // The middle stroke and its two corner pieces, so that strokes meet where tiles do.
  const rising = [-1, 0, 1].map(k => [k * size - 1, size + 1, (k + 1) * size + 1, -1] as const)
  const falling = [-1, 0, 1].map(k => [k * size - 1, -1, (k + 1) * size + 1, size + 1] as const)
  return { size, lines: hatch === 'cross' ? [...rising, ...falling] : rising, dots: [] }
}
