import { formatPhrase, type Phrase } from '../model/quantity.ts'
import type { SheetContent } from '../model/sheet-content.ts'
import { INK, SEASON_SYMBOLS, SOFT_INK } from '../model/symbols.ts'
import { type Block, stackBlocks, type TextLook, type TypeScale, tagBlock, textBlock } from './blocks.ts'
import { AUDIENCE_LINE } from './cautions.ts'
import { chartBlock, chartTitle, chartWords } from './chart-block.ts'
import { effortBlock, effortWords } from './effort-block.ts'
import type { SheetFonts } from './fonts.ts'
import { tableBlock } from './table-block.ts'

/** What a block of text is made with. */
export interface Setting {
  readonly content: SheetContent
  readonly title: string
  readonly width: number
  readonly type: TypeScale
  readonly fonts: SheetFonts
}

/** Title, place and date, and who the sheet is for. */
export function titleBlock({ content, title, width, type, fonts }: Setting): Block {
  const soft: TextLook = { face: 'sans', size: type.body, colour: SOFT_INK }
  const tag: TextLook = { face: 'sans-bold', size: type.body, colour: SEASON_SYMBOLS.compared.stroke }
  return stackBlocks([
    tagBlock('H1', textBlock(title, { face: 'serif-bold', size: type.title, colour: INK }, width, fonts, 0)),
    tagBlock('P', textBlock(`${content.place} · data to ${longDate(content)}`, soft, width, fonts, type.body * 0.25)),
    tagBlock('P', textBlock(AUDIENCE_LINE[content.audience], tag, width, fonts, type.body * 0.15)),
  ])
}

/** The answer in one or two sentences, and what it rests on. */
export function leadBlock({ content, width, type, fonts }: Setting): Block {
  const soft: TextLook = { face: 'sans', size: type.body, colour: SOFT_INK }
  return stackBlocks([
    tagBlock(
      'P',
      textBlock(
        headlineWords(content),
        { face: 'sans-bold', size: type.lead, colour: INK },
        width,
        fonts,
        type.body * 1.1,
      ),
    ),
    ...content.footing.map(phrase =>
      tagBlock('P', textBlock(words(phrase, content), soft, width, fonts, type.body * 0.4)),
    ),
  ])
}

/** Everything below the answer, in the order in which it may run over to the next column or page. */
export function detailBlocks(setting: Setting): Block[] {
  const { content, width, type, fonts } = setting
  const body: TextLook = { face: 'sans', size: type.body, colour: INK }
  const soft: TextLook = { face: 'sans', size: type.small, colour: SOFT_INK }
  const heading = (text: string) =>
    tagBlock('H2', textBlock(text, { ...body, face: 'sans-bold' }, width, fonts, type.body * 1.15))
  const under = (text: string, look = body) => tagBlock('P', textBlock(text, look, width, fonts, type.body * 0.2))
  const blocks: Block[] = []
  if (content.table.length > 0) blocks.push(tableBlock(content, width, type, fonts))
  const effort = effortBlock(content, width, type, fonts)
  if (effort !== null)
    blocks.push(stackBlocks([heading('Where people looked'), tagBlock('Figure', effort, effortWords(content))]))
  const chart = chartBlock(content, width, type, fonts)
  if (chart !== null) {
    const note = words(content.chart!.note, content)
    blocks.push(
      stackBlocks([
        heading(chartTitle(content)),
        tagBlock('Figure', chart, chartWords(content)),
        ...(note === '' ? [] : [under(note, soft)]),
      ]),
    )
  }
  if (content.hindcast !== null) {
    blocks.push(stackBlocks([heading('How last season’s order did'), under(words(content.hindcast, content))]))
  }
  const [first, ...others] = content.cannotConclude.map(phrase => under(words(phrase, content)))
  if (first !== undefined) {
    const following = others.map(block => ({ ...block, follows: true }))
    blocks.push(stackBlocks([heading('Cannot be concluded'), first]), ...following)
  }
  return blocks
}

/** A phrase in the reader's units; a figure keeps its unit on the same line. */
export function words(phrase: Phrase, content: SheetContent): string {
  return phrase
    .map(piece =>
      typeof piece === 'string' ? piece : formatPhrase([piece], content.reading).replaceAll(' ', '\u00a0'),
    )
    .join('')
}

/** The answer: how the vine moved, and where to look. */
export const headlineWords = (content: SheetContent): string =>
  [content.headline, content.looking]
    .filter(phrase => phrase.length > 0)
    .map(phrase => words(phrase, content))
    .join(' ')

function longDate(content: SheetContent): string {
  const date = new Date(`${content.dataDate}T00:00:00Z`)
  const style = { day: 'numeric', month: 'short', year: 'numeric', timeZone: 'UTC' } as const
  return new Intl.DateTimeFormat(content.reading.locale, style).format(date)
}
