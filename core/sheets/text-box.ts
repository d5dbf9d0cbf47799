import type { TextOperator } from './display-list.ts'
import type { SheetFonts } from './fonts.ts'

/** The four corners of a text on the page, in turn: x0, y0 ... x3, y3. */
export type TextBox = readonly [number, number, number, number, number, number, number, number]

/** The box that a text fills, with the metrics of its font; turned with the text. */
export function boxOfText(text: TextOperator, fonts: SheetFonts): TextBox {
  const width = fonts.width(text.text, text.face, text.size)
  const { above, below } = fonts.extent(text.face, text.size)
  const left = text.align === 'start' ? 0 : text.align === 'middle' ? -width / 2 : -width
  const turn = ((text.angle ?? 0) * Math.PI) / 180
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)]
  const corner = (dx: number, dy: number) => [text.x + dx * cos - dy * sin, text.y + dx * sin + dy * cos] as const
  const right = left + width
  const corners = [corner(left, -above), corner(right, -above), corner(right, below), corner(left, below)]
  return corners.flat() as unknown as TextBox
}

/** Whether two convex boxes share more than their rims (separating axes; a gap under `slack` points counts as none). */
export function boxesOverlap(a: TextBox, b: TextBox, slack = 0): boolean {
  return !hasGap(a, b, slack) && !hasGap(b, a, slack)
}

/** Whether one of the directions of `a`'s edges parts the two. */
function hasGap(a: TextBox, b: TextBox, slack: number): boolean {
  for (const edge of [0, 2]) {
    const dx = a[edge + 2]! - a[edge]!
    const dy = a[edge + 3]! - a[edge + 1]!
    const length = Math.hypot(dx, dy)
    if (length === 0) continue
    for (const [nx, ny] of [
      [dx / length, dy / length],
      [-dy / length, dx / length],
    ] as const) {
      const [lowA, highA] = spanOf(a, nx, ny)
      const [lowB, highB] = spanOf(b, nx, ny)
      if (highA <= lowB + 1e-6 - slack || highB <= lowA + 1e-6 - slack) return true
    }
  }
  return false
}

function spanOf(box: TextBox, nx: number, ny: number): [low: number, high: number] {
  const values = [0, 2, 4, 6].map(i => box[i]! * nx + box[i + 1]! * ny)
  return [Math.min(...values), Math.max(...values)]
}

/** The box of a rectangle. */
export function boxOfRect(left: number, top: number, right: number, bottom: number): TextBox {
  return [left, top, right, top, right, bottom, left, bottom]
}
