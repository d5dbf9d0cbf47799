import type { Box, SeasonSightings } from '../model/index.ts'

/** Visits by square cell, row by row from the north-west. */
export interface VisitGrid {
  readonly columns: number
  readonly rows: number
  /** Edge of a cell, metres. */
  readonly cellSize: number
  readonly visits: readonly number[]
}

export interface GridInput {
  readonly sightings: SeasonSightings
  /** Ground of the grid, working frame; cells count from its north-west corner and may reach beyond its far sides. */
  readonly box: Box
  /** Edge of a cell, metres. */
  readonly cell: number
}

/** In-window visits of a season by square cell; visits outside the box are left out. */
export function effortGrid({ sightings, box, cell }: GridInput): VisitGrid {
  if (!(cell > 0)) throw new Error(`the edge of a cell must be above 0, got ${cell}`)
  const [west, south, east, north] = box
  const columns = Math.max(1, Math.ceil((east - west) / cell))
  const rows = Math.max(1, Math.ceil((north - south) / cell))
  const visits = new Array<number>(columns * rows).fill(0)
  for (const { x, y } of sightings.visits) {
    if (!(x >= west && x <= east && y >= south && y <= north)) continue
    const column = Math.min(columns - 1, Math.floor((x - west) / cell))
    const row = Math.min(rows - 1, Math.floor((north - y) / cell))
    visits[row * columns + column]!++
  }
  return { columns, rows, cellSize: cell, visits }
}
