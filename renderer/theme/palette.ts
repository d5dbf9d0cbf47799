/** Colours as the style sheet gives them now; the map and the hatches are drawn with the same tokens as the page. */
const TOKENS = [
  'paper',
  'land',
  'ink',
  'ink-soft',
  'rule',
  'rule-strong',
  'shown',
  'shown-wash',
  'compared',
  'compared-wash',
  'water',
  'water-soft',
  'look',
  'flood-look',
  'searched',
  'parcel',
  'parcel-mark',
  'road',
  'flood',
  'focus',
  'halo',
] as const

export type Palette = Readonly<Record<(typeof TOKENS)[number], string>>

export function readPalette(): Palette {
  const style = getComputedStyle(document.documentElement)
  return Object.fromEntries(TOKENS.map(token => [token, style.getPropertyValue(`--${token}`).trim()])) as Palette
}
