/** An arrow head that points up the page, with a halo; the map turns it. */
export function drawArrowHead(ink: string, halo: string): ImageData {
  const side = 28
  const pen = new OffscreenCanvas(side, side).getContext('2d')!
  pen.lineJoin = 'round'
  pen.lineWidth = 4
  pen.strokeStyle = halo
  pen.fillStyle = ink
  pen.beginPath()
  pen.moveTo(14, 4)
  pen.lineTo(22, 23)
  pen.lineTo(14, 18)
  pen.lineTo(6, 23)
  pen.closePath()
  pen.stroke()
  pen.fill()
  return pen.getImageData(0, 0, side, side)
}
