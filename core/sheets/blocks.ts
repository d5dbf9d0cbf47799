import { type FontFace, type Operator, type Rect, type SheetTag, type TextOperator, taggedAs } from './display-list.ts'
import type { SheetFonts } from './fonts.ts'
import { wrapText } from './wrap.ts'

/** A piece of the text column, laid out for one width; never split. */
export interface Block {
  /** Space before it, unless it comes first. */
  readonly gap: number
  readonly height: number
  /** Goes on from the block before it: the two stay in one column where they can. */
  readonly follows?: boolean
  /** Stands in the first column. */
  readonly isFixed?: boolean
  draw(x: number, y: number): Operator[]
}

/** Sizes of one sheet's text: base sizes times a factor, never under 6 points. */
export interface TypeScale {
  readonly factor: number
  readonly title: number
  readonly lead: number
  readonly body: number
  readonly small: number
}

/** Least size of any text on a sheet. Source: guideline of 6 pt for map labels (US Geological Survey practice as commonly quoted). */
export const LEAST_SIZE = 6

export function typeScale(factor: number): TypeScale {
  const size = (base: number) => Math.max(LEAST_SIZE, Math.round(base * factor * 20) / 20)
  return { factor, title: size(21), lead: size(11.2), body: size(7.6), small: size(6.6) }
}

export interface TextLook {
  readonly face: FontFace
  readonly size: number
  readonly colour: string
}

/** Line pitch over type size. */
const LEADING = 1.28

/** A paragraph. */
export function textBlock(text: string, look: TextLook, width: number, fonts: SheetFonts, gap: number): Block {
  const lines = wrapText(text, look.face, look.size, width, fonts)
  const pitch = look.size * LEADING
  return {
    gap,
    height: lines.length * pitch,
    draw: (x, y) => spaced(lines).map((line, i) => textAt(line, x, y + i * pitch + look.size * 0.98, look)),
  }
}

/** Lines with the space that the break took, so that words stay apart for those who copy or hear them. */
export const spaced = (lines: readonly string[]): string[] =>
  lines.map((line, i) => (i + 1 < lines.length ? `${line} ` : line))

export function textAt(
  text: string,
  x: number,
  y: number,
  look: TextLook,
  align: TextOperator['align'] = 'start',
): TextOperator {
  return { op: 'text', text, x, y, align, ...look }
}

/** A block as one thing of the page's structure. */
export const tagBlock = (role: SheetTag['role'], block: Block, alt?: string): Block => ({
  ...block,
  draw: (x, y) => [taggedAs(role, block.draw(x, y), alt)],
})

/** Blocks one under the other as one, so that a heading stays with what it heads. */
export function stackBlocks(blocks: readonly Block[]): Block {
  const tops: number[] = []
  let height = 0
  for (const [i, block] of blocks.entries()) {
    if (i > 0) height += block.gap
    tops.push(height)
    height += block.height
  }
  return {
    gap: blocks[0]?.gap ?? 0,
    height,
    draw: (x, y) => blocks.flatMap((block, i) => block.draw(x, y + tops[i]!)),
  }
}

/** Flows blocks through regions in turn; what finds no room is given back. */
export function flowBlocks(
  blocks: readonly Block[],
  regions: readonly Rect[],
): { readonly items: Operator[]; readonly rest: readonly Block[]; readonly bottoms: readonly number[] } {
  const items: Operator[] = []
  const bottoms = regions.map(region => region[1])
  let region = 0
  let index = 0
  while (index < blocks.length && region < regions.length) {
    const block = blocks[index]!
    const [left, top, , bottom] = regions[region]!
    const isFirst = bottoms[region] === top
    const y = bottoms[region]! + (isFirst ? 0 : block.gap)
    if (y + block.height > bottom + 0.01) {
      region++
      continue
    }
    items.push(...block.draw(left, y))
    bottoms[region] = y + block.height
    index++
  }
  return { items, rest: blocks.slice(index), bottoms }
}
