export { LEAST_SIZE } from './blocks.ts'
export { AUDIENCE_LINE, SHEET_CAUTIONS } from './cautions.ts'
export {
  type DisplayList,
  type FontFace,
  flatten,
  type Georeference,
  type GroupOperator,
  type HatchFill,
  type Operator,
  type PathOperator,
  type Rect,
  type SheetPage,
  type SheetTag,
  type Stroke,
  type TextOperator,
} from './display-list.ts'
export { type FontBytes, openFonts, type SheetFonts } from './fonts.ts'
export { findUtmZone, wktOfFrame } from './frame-wkt.ts'
export {
  buildPageTransform,
  convergenceOf,
  georeferenceOf,
  type PageTransform,
  roundScaleFor,
} from './page-transform.ts'
export { type PageSize, pageSizeFor } from './pages.ts'
export { type ScaleBar, scaleBarsFor } from './scale-bar.ts'
export { drawSeasonReview } from './season-review.ts'
export { boxesOverlap, boxOfText, type TextBox } from './text-box.ts'
export { degreeTicks, gridTicks, type Tick } from './ticks.ts'
export { writePdf } from './write-pdf.ts'
export { type SvgOptions, writeSvg } from './write-svg.ts'
