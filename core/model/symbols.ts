/**
 * What things look like, on screen and on paper alike: one colour and one hatch a thing, everywhere.
 * Colours are Okabe-Ito's, darkened where contrast on paper asks for it (WCAG 2.2, 3:1 for graphics, 4.5:1 for text).
 * Source: Okabe and Ito (2008), Color Universal Design; values as in R's palette.colors("Okabe-Ito").
 */
export type Hatch = 'diagonal' | 'dots' | 'level' | 'cross' | 'upright' | 'none'

export interface AreaSymbol {
  readonly stroke: string
  readonly hatch: Hatch
  readonly isDashed: boolean
}

/** The season shown (newest by default), the season compared with, and the rest. */
export const SEASON_SYMBOLS = {
  shown: { stroke: '#7a3b8f', hatch: 'dots', isDashed: true },
  compared: { stroke: '#b3541e', hatch: 'diagonal', isDashed: false },
} as const satisfies Record<string, AreaSymbol>

export const INK = '#1d2a30'
export const SOFT_INK = '#56646a'
export const WATER = '#0072b2'
export const LOOK_INK = '#0b3a57'
export const SEARCHED = '#4d6f63'
export const PARCEL_LINE = '#b9b09a'
export const ROAD = '#9a927e'
