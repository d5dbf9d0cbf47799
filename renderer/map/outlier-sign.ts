/** Half the height of the sign in CSS pixels. */
export const SIGN_REACH = 10
const DENSITY = 2
const EDGE = 4

/** An upright square on its corner around a patch, with a halo; broken where the patch's age is unknown. */
export function drawOutlierSign(color: string, halo: string, isAgeUnknown: boolean): ImageData {
  const side = 2 * (SIGN_REACH + EDGE)
  const pen = new OffscreenCanvas(side * DENSITY, side * DENSITY).getContext('2d')!
  pen.scale(DENSITY, DENSITY)
  pen.lineJoin = 'miter'
  const path = new Path2D(outlierPath(side / 2, side / 2, SIGN_REACH))
  pen.strokeStyle = halo
  pen.lineWidth = 5
  pen.stroke(path)
  pen.strokeStyle = color
  pen.lineWidth = 2.2
  if (isAgeUnknown) pen.setLineDash([4.2, 2.9])
  pen.stroke(path)
  return pen.getImageData(0, 0, side * DENSITY, side * DENSITY)
}

export const outlierPath = (x: number, y: number, reach: number): string =>
  `M${x} ${y - reach}L${x + reach} ${y}L${x} ${y + reach}L${x - reach} ${y}Z`
