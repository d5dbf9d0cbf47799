import type { SeasonChoice, SheetFormat } from '../desk-view.ts'
import { utmFrame } from '../geo/index.ts'
import { InputError, type Reading, type SheetContent, type SheetRequest } from '../model/index.ts'
import { cutSheetContent } from '../share/index.ts'
import { drawSeasonReview, type FontBytes, openFonts, type SheetFonts, writePdf, writeSvg } from '../sheets/index.ts'
import { describeAdvanceOf, describeOutlineOf, describeWater } from './describe.ts'
import { privacyFacts } from './privacy-facts.ts'
import type { SeasonRun } from './run-season.ts'
import { buildSheetContent } from './sheet-content.ts'
import type { DeskState } from './state.ts'

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

/** What a sheet is set with; fonts are opened once for all sheets of a run. */
export interface SheetTools {
  readonly fonts: SheetFonts
  readonly reading: Reading
}

/** A sheet of the brief and the seasons that it is of. */
export interface SheetOrder {
  readonly request: SheetRequest
  readonly choice: SeasonChoice
}

/** One sheet as bytes, cut to its audience before anything is drawn. */
export function drawSheet(
  state: DeskState & { readonly run: SeasonRun },
  { request, choice }: SheetOrder,
  format: SheetFormat,
  { fonts, reading }: SheetTools,
): Uint8Array {
  const content = contentFor(state, { request, choice }, reading)
  const [longitude, latitude] = state.vetted.tools.frame.toGlobe(0, 0)
  const list = drawSeasonReview(content, request, utmFrame(longitude, latitude), fonts)
  return format === 'pdf' ? writePdf(list, fonts) : new TextEncoder().encode(writeSvg(list, fonts))
}

/** The content of a sheet as its audience may see it. */
export function contentFor(
  state: DeskState & { readonly run: SeasonRun },
  { request, choice }: SheetOrder,
  reading: Reading,
): SheetContent {
  const { shown, compared } = choice
  const content = buildSheetContent(
    state,
    choice,
    {
      outline: describeOutlineOf(state, choice),
      outlineBefore: compared === null ? null : describeOutlineOf(state, { shown: compared, compared: null }),
      advance: describeAdvanceOf(state.run, state, choice),
      downstream: describeWater(state, state.run, shown),
    },
    request,
    reading,
  )
  return cutSheetContent(content, request.audience, privacyFacts(state, request), state.vetted.tools)
}

/** Opens the faces that sheets are set in from the files that the desk was handed. */
export const openSheetFonts = (fonts: Readonly<Record<string, Uint8Array>>): SheetFonts => openFonts(fontBytes(fonts))

function fontBytes(fonts: Readonly<Record<string, Uint8Array>>): FontBytes {
  const files = (face: string) => [fonts[face], fonts[`${face}-ext`]].filter(file => file !== undefined)
  return Object.fromEntries(FACES.map(face => [face, files(face)])) as Record<(typeof FACES)[number], Uint8Array[]>
}
