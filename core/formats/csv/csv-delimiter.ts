/// <reference path="./papaparse.d.ts" />
import papa from 'papaparse'

const DELIMITERS = [',', ';', '\t'] as const
const LOOKED_AT = 50

/**
 * The separator that cuts the first rows into the most columns, of those that cut most rows alike; a comma where none does.
 */
export function findDelimiter(text: string): string {
  const sample = text.slice(0, 200_000)
  let best: { delimiter: string; score: number } = { delimiter: ',', score: 0 }
  for (const delimiter of DELIMITERS) {
    const { data } = papa.parse(sample, {
      delimiter,
      header: false,
      dynamicTyping: false,
      skipEmptyLines: false,
      preview: LOOKED_AT,
    })
    const width = data[0]?.length ?? 0
    if (width < 2) continue
    const rows = data.filter(cells => cells.length > 1 || cells[0]?.trim() !== '')
    const alike = rows.filter(cells => cells.length === width).length / rows.length
    const score = alike >= 0.5 ? width : width * alike * 0.5
    if (score > best.score) best = { delimiter, score }
  }
  return best.delimiter
}

/** Whether the first line holds a separator at all. */
export const hasDelimiter = (text: string): boolean =>
  /[,;\t]/.test(text.slice(0, 65_536).split(/\r?\n|\r/, 1)[0] ?? '')
