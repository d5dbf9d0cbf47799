import type { SheetRequest } from '../model/brief.ts'

/** Paper in points, portrait. Source: ANSI/ASME Y14.1 (Letter 8.5 x 11 in, Tabloid 11 x 17 in), ISO 216 (A4 210 x 297 mm, A3 297 x 420 mm). */
const SIZES = {
  letter: { name: 'Letter', width: 612, height: 792 },
  a4: { name: 'A4', width: (210 / 25.4) * 72, height: (297 / 25.4) * 72 },
  tabloid: { name: 'Tabloid', width: 792, height: 1224 },
  a3: { name: 'A3', width: (297 / 25.4) * 72, height: (420 / 25.4) * 72 },
} as const

export interface PageSize {
  readonly name: string
  readonly width: number
  readonly height: number
}

export function pageSizeFor(request: Pick<SheetRequest, 'page' | 'orientation'>): PageSize {
  const { name, width, height } = SIZES[request.page]
  return request.orientation === 'portrait' ? { name, width, height } : { name, width: height, height: width }
}
