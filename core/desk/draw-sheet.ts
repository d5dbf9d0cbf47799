import type { SheetFormat } from '../desk-view.ts'
import { utmFrame } from '../geo/index.ts'
import { InputError, type Reading, type SheetRequest } from '../model/index.ts'
import { cutSheetContent } from '../share/index.ts'
import { drawSeasonReview, type FontBytes, openFonts, writePdf, writeSvg } from '../sheets/index.ts'
import { describeAdvanceOf, describeOutlineOf, describeWater } from './describe.ts'
import { privacyFacts } from './privacy-facts.ts'
import type { SeasonRun } from './run-season.ts'
import { buildSheetContent } from './sheet-content.ts'
import type { DeskState } from './state.ts'
import { newestSeason, seasonBefore } from './summary.ts'

/** Font files by the names under which the desk is handed them, in the order of fallback. */
const FACES = ['sans', 'sans-bold', 'sans-italic', 'serif-bold'] as const

/** The request of a sheet by its id. Errors: InputError that lists the sheets there are. */
export function findSheet({ brief }: DeskState, id: string): SheetRequest {
  const request = brief.sheets.find(sheet => sheet.id === id)
  if (request) return request
  throw new InputError({
    code: 'sheet-unknown',
    field: 'sheets',
    value: id,
    reason: 'The brief names no such sheet',
    remedy: `It has: ${brief.sheets.map(sheet => sheet.id).join(', ') || 'none'}.`,
  })
}

/** One sheet as bytes, cut to its audience before anything is drawn. */
export function drawSheet(
  state: DeskState & { readonly run: SeasonRun },
  request: SheetRequest,
  format: SheetFormat,
  { fonts, reading }: { fonts: Readonly<Record<string, Uint8Array>>; reading: Reading },
): Uint8Array {
  const shown = newestSeason(state)
  const compared = seasonBefore(state, shown)
  const choice = { shown, compared }
  const content = buildSheetContent(
    state,
    choice,
    {
      outline: describeOutlineOf(state, choice),
      outlineBefore: compared === null ? null : describeOutlineOf(state, { shown: compared, compared: null }),
      advance: describeAdvanceOf(state.run, state, choice),
      downstream: describeWater(state, state.run),
    },
    request,
    reading,
  )
  const { tools } = state.vetted
  const cut = cutSheetContent(content, request.audience, privacyFacts(state, request), tools)
  const [longitude, latitude] = tools.frame.toGlobe(0, 0)
  const opened = openFonts(fontBytes(fonts))
  const list = drawSeasonReview(cut, request, utmFrame(longitude, latitude), opened)
  return format === 'pdf' ? writePdf(list, opened) : new TextEncoder().encode(writeSvg(list, opened))
}

function fontBytes(fonts: Readonly<Record<string, Uint8Array>>): FontBytes {
  const files = (face: string) => [fonts[face], fonts[`${face}-ext`]].filter(file => file !== undefined)
  return Object.fromEntries(FACES.map(face => [face, files(face)])) as Record<(typeof FACES)[number], Uint8Array[]>
}
