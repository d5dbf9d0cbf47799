import type { Phrase, Quantity } from './quantity.ts'

/** A named figure of an answer. `why` opens what stands behind it; figures without one state an input. */
export interface Figure {
  readonly id: string
  readonly label: string
  readonly quantity: Quantity
  readonly why?: Why
}

/** Behind a figure: the formula in words, the settings it used, and the features it rests on. */
export interface Why {
  readonly formula: string
  readonly settings: readonly { readonly label: string; readonly quantity: Quantity }[]
  /** What to select on the map and in the ledger. */
  readonly selection?: { readonly layer: string; readonly ids: readonly string[] }
}

/** One chart an answer: marks over seasons or bars over classes; the same data are drawn on screen and on paper. */
export interface Chart {
  readonly title: string
  readonly kind: 'seasons' | 'bars'
  readonly yKind: 'area' | 'length' | 'rate' | 'share' | 'count'
  readonly points: readonly ChartPoint[]
  /** A fitted line in (x, y); null where none may be drawn. */
  readonly fit: { readonly from: readonly [number, number]; readonly to: readonly [number, number] } | null
  readonly note: Phrase
}

export interface ChartPoint {
  readonly label: string
  readonly x: number
  readonly y: number | null
  readonly low?: number | null
  readonly high?: number | null
  /** Season id when the point stands for one, so that it takes the season's colour. */
  readonly season?: string
  /** Features that the point stands for, as in a why. */
  readonly selection?: { readonly layer: string; readonly ids: readonly string[] }
}

/** A question's answer in words and figures, for the window and for paper alike. */
export interface Answer {
  /** One or two sentences that answer the question. */
  readonly headline: Phrase
  /** What it rests on, one sentence. */
  readonly footing: Phrase
  readonly figures: readonly Figure[]
  readonly chart: Chart | null
  /** What cannot be concluded, and what it would take. */
  readonly cannotConclude: readonly Phrase[]
  /** Rows that were refused, each with its file, row, reason and remedy. */
  readonly refused?: readonly Phrase[]
}
