import type { Chart } from '../../core/model/index.ts'

/** Letters that fit under a bar in two lines when the bars share the sheet's width. */
const LETTERS_ACROSS = 78

/** Bars whose names would run into each other stand as rows, each with its name and figure. */
export function isInRows({ kind, points }: Chart): boolean {
  const longest = Math.max(0, ...points.flatMap(point => point.label.split(/,? /)).map(word => word.length))
  const whole = Math.max(0, ...points.map(point => point.label.length))
  return kind === 'bars' && points.length * Math.max(longest, whole / 2) > LETTERS_ACROSS
}
