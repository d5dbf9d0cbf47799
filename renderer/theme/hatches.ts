import type { Hatch } from '../../core/model/index.ts'

/** Side of a hatch's repeat in CSS pixels. */
export const HATCH_SIDE = 8
const DENSITY = 2

/** One repeat of a hatch, seamless, at twice the pixel density. */
export function drawHatch(hatch: Hatch, color: string): ImageData {
  const side = HATCH_SIDE * DENSITY
  const canvas = new OffscreenCanvas(side, side)
  const pen = canvas.getContext('2d')!
  pen.scale(DENSITY, DENSITY)
  pen.strokeStyle = color
  pen.fillStyle = color
  pen.lineWidth = 1.1
  pen.beginPath()
  tracePath(pen, hatch)
  if (hatch === 'dots') pen.fill()
  else pen.stroke()
  return pen.getImageData(0, 0, side, side)
}

function tracePath(pen: OffscreenCanvasRenderingContext2D, hatch: Hatch): void {
  const s = HATCH_SIDE
  if (hatch === 'dots')
    for (const [x, y] of [
      [2, 2],
      [6, 6],
    ] as const) {
      pen.moveTo(x + 1.05, y)
      pen.arc(x, y, 1.05, 0, 2 * Math.PI)
    }
  // Strokes run past the edges so that their ends join across repeats.
  if (hatch === 'diagonal' || hatch === 'cross')
    for (const shift of [-s, 0, s]) {
      pen.moveTo(shift - 1, s + 1)
      pen.lineTo(shift + s + 1, -1)
    }
  if (hatch === 'cross')
    for (const shift of [-s, 0, s]) {
      pen.moveTo(shift - 1, -1)
      pen.lineTo(shift + s + 1, s + 1)
    }
  if (hatch === 'level') {
    pen.moveTo(-1, s / 2)
    pen.lineTo(s + 1, s / 2)
  }
  if (hatch === 'upright') {
    pen.moveTo(s / 2, -1)
    pen.lineTo(s / 2, s + 1)
  }
}
