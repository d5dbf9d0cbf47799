import type { Patch } from '../model/index.ts'
import { walkOuterRings } from './boundary-points.ts'

/** A cell of ground with the season in which the edge of a patch was first seen in it. */
export interface FirstCell {
  readonly x: number
  readonly y: number
  readonly year: number
  /** Whether it was a jump that brought it, not the front. */
  readonly isJump: boolean
}

export interface FirstCellInput {
  /** Patches of known age by season, oldest first, and the seasons' years. */
  readonly patchesBySeason: readonly (readonly Patch[])[]
  readonly years: readonly number[]
  /** Side of a cell, metres. */
  readonly cell: number
  isJump(patch: Patch): boolean
}

/**
 * Cells of ground with the season in which a patch's edge first lay in them, so that ground seen every season counts
 * once. A cell stands at the mean of the edge places of its first season in it. In the order of their south-west corners.
 */
export function findFirstCells({ patchesBySeason, years, cell, isJump }: FirstCellInput): FirstCell[] {
  const cells = new Map<string, Sum>()
  for (const [i, patches] of patchesBySeason.entries()) {
    for (const patch of patches) {
      const jumped = isJump(patch)
      for (const { x, y } of walkOuterRings(patch.planar, cell / 2)) {
        const [column, row] = [Math.floor(x / cell), Math.floor(y / cell)]
        const key = `${column} ${row}`
        const sum = cells.get(key) ?? { column, row, year: years[i]!, x: 0, y: 0, count: 0, isJump: jumped }
        if (sum.year !== years[i]) continue
        cells.set(key, sum)
        sum.x += x
        sum.y += y
        sum.count++
        sum.isJump &&= jumped
      }
    }
  }
  return [...cells.values()]
    .sort((a, b) => a.column - b.column || a.row - b.row)
    .map(({ x, y, count, year, isJump: jumped }) => ({ x: x / count, y: y / count, year, isJump: jumped }))
}

/** At most `most` of the cells, every so many in their order, so that they lie over all of the ground. */
export function sampleCells(cells: readonly FirstCell[], most: number): readonly FirstCell[] {
  if (cells.length <= most) return cells
  return Array.from({ length: most }, (_, i) => cells[Math.floor((i * cells.length) / most)]!)
}

interface Sum {
  readonly column: number
  readonly row: number
  readonly year: number
  x: number
  y: number
  count: number
  isJump: boolean
}
