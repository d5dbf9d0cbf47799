import { inflateSync } from 'node:zlib'
import PDFDocument from 'pdfkit'
import { expect, it } from 'vitest'
import type { SheetParcel } from '../../core/model/sheet-content.ts'
import { drawSeasonReview, writePdf } from '../../core/sheets/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { frame, inventedReview, loadFonts } from '../sheets/invented-review.ts'
import { SEED } from './made-data.ts'
import { sayFigure, sayPeer, timeRuns } from './stopwatch.ts'

const COUNT = 10_000
const LETTER = { width: 792, height: 612 }

it('a sheet of 10,000 features to PDF, beside the same shapes drawn with pdfkit alone', async () => {
  const parcels = makeSheetParcels()
  const content = { ...inventedReview(), parcels }
  const fonts = loadFonts()
  const request = {
    id: 'bench',
    kind: 'season-review',
    page: 'letter',
    orientation: 'landscape',
    audience: 'crew',
  } as const
  const ours = await timeRuns(3, () => {
    const list = drawSeasonReview(content, request as never, frame, fonts)
    return writePdf(list, fonts)
  })
  sayFigure(`season review with ${COUNT} parcels: layout, labels, legend and PDF (${kilobytes(ours.result)})`, ours)

  const theirs = await timeRuns(3, () => drawWithPdfkit(parcels))
  const [drawn, plain] = [closedPaths(ours.result), closedPaths(theirs.result)]
  expect(plain).toBe(COUNT)
  // The sheet draws the patches, symbols and furniture of the review beside the parcels, and leaves out what lies off the map.
  expect(drawn).toBeGreaterThan(0.98 * COUNT)
  sayPeer(
    `pdfkit 0.20, ${COUNT} rings scaled onto the page and stroked, nothing else (${kilobytes(theirs.result)})`,
    ours,
    theirs,
    `${drawn} and ${plain} closed paths`,
  )
})

const kilobytes = (bytes: Uint8Array): string => `${Math.round(bytes.length / 1000)} kB`

/** Lots of six corners on 100 by 100 places, inside the invented district. */
function makeSheetParcels(): SheetParcel[] {
  const random = createRandom(SEED)
  const [x0, y0] = frame.toPlane(-45.78, 35.72)
  const corners = [
    [0, 0],
    [0.5, -0.1],
    [1, 0],
    [1, 1],
    [0.5, 1.1],
    [0, 1],
    [0, 0],
  ] as const
  return Array.from({ length: COUNT }, (_, i): SheetParcel => {
    const [west, south] = [x0 - 2500 + (i % 100) * 50, y0 - 1900 + Math.floor(i / 100) * 38]
    const [width, height] = [40 + 6 * random.next(), 28 + 4 * random.next()]
    const ring = corners.flatMap(([u, v]) => [...frame.toGlobe(west + u * width, south + v * height)])
    return { id: `P${i}`, outline: [[Float64Array.from(ring)]], mark: 'none', owner: `Owner ${i % 700}` }
  })
}

/** The same rings, brought into the frame and onto a page by hand. */
async function drawWithPdfkit(parcels: readonly SheetParcel[]): Promise<Uint8Array> {
  const document = new (PDFDocument as unknown as new (options: object) => Drawing)({
    size: [LETTER.width, LETTER.height],
  })
  const chunks: Uint8Array[] = []
  const ended = new Promise<void>(resolve => {
    document.on('data', chunk => void chunks.push(chunk as Uint8Array))
    document.on('end', () => resolve())
  })
  const [x0, y0] = frame.toPlane(-45.78, 35.72)
  document.lineWidth(0.3)
  for (const { outline } of parcels) {
    for (const ring of outline[0]!) {
      for (let k = 0; k + 2 < ring.length; k += 2) {
        const [x, y] = frame.toPlane(ring[k]!, ring[k + 1]!)
        const [px, py] = [LETTER.width / 2 + (x - x0) / 8, LETTER.height / 2 - (y - y0) / 8]
        if (k === 0) document.moveTo(px, py)
        else document.lineTo(px, py)
      }
      document.closePath().stroke()
    }
  }
  document.end()
  await ended
  return Buffer.concat(chunks)
}

interface Drawing {
  on(event: string, hear: (chunk: unknown) => void): void
  lineWidth(width: number): Drawing
  moveTo(x: number, y: number): Drawing
  lineTo(x: number, y: number): Drawing
  closePath(): Drawing
  stroke(): Drawing
  end(): void
}

/** Closed paths in the page's content: the operator `h` (ISO 32000-2, 8.5.2). */
function closedPaths(pdf: Uint8Array): number {
  const text = Buffer.from(pdf).toString('latin1')
  let count = 0
  for (const match of text.matchAll(/stream\r?\n/g)) {
    const from = match.index + match[0].length
    const end = text.indexOf('endstream', from)
    if (text.slice(match.index - 3, match.index) === 'end' || end < 0) continue
    try {
      const content = inflateSync(pdf.subarray(from, end)).toString('latin1')
      if (/ (l|m)\n/.test(content)) count += content.match(/(^|\s)h(?=\s)/g)?.length ?? 0
    } catch {
      // Fonts and other streams that are packed otherwise hold no paths.
    }
  }
  return count
}
