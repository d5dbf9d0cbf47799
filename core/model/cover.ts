/** A named table of cover classes: label, lower and upper share (0-1); the midpoint stands for the class. */
export interface CoverTable {
  readonly name: string
  readonly source: string
  readonly classes: readonly CoverClass[]
}

export interface CoverClass {
  readonly label: string
  readonly low: number
  readonly high: number
}

/** Source: Daubenmire, R. (1959) A canopy-coverage method of vegetational analysis. Northwest Science 33:43-64. */
export const DAUBENMIRE: CoverTable = {
  name: 'Daubenmire',
  source: 'Daubenmire (1959) Northwest Science 33:43-64',
  classes: [
    { label: '1', low: 0, high: 0.05 },
    { label: '2', low: 0.05, high: 0.25 },
    { label: '3', low: 0.25, high: 0.5 },
    { label: '4', low: 0.5, high: 0.75 },
    { label: '5', low: 0.75, high: 0.95 },
    { label: '6', low: 0.95, high: 1 },
  ],
}

/**
 * Midpoint (0-1) of a cover as written: a class label of the table (`3`), a range (`25-50 %`) or a per cent (`40%`).
 * A bare number is a class label where the table has it, else a per cent. Null where it cannot be read.
 */
export function parseCover(text: string, table: CoverTable): number | null {
  const clean = text.trim().replace(/\s+/g, '')
  const named = table.classes.find(entry => entry.label.toLowerCase() === clean.toLowerCase())
  if (named) return (named.low + named.high) / 2
  const range = /^<?(\d+(?:\.\d+)?)(?:[-–](\d+(?:\.\d+)?))?%?$/.exec(clean)
  if (!range) return null
  const low = Number(range[1])
  const high = range[2] === undefined ? low : Number(range[2])
  return low <= high && high <= 100 ? (low + high) / 200 : null
}
