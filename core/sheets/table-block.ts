import { formatQuantity, type Quantity } from '../model/quantity.ts'
import type { SheetContent } from '../model/sheet-content.ts'
import { INK, SEASON_SYMBOLS, SOFT_INK } from '../model/symbols.ts'
import { type Block, spaced, type TextLook, type TypeScale, textAt } from './blocks.ts'
import { linePath, type Operator, taggedAs } from './display-list.ts'
import type { SheetFonts } from './fonts.ts'
import { wrapText } from './wrap.ts'

const RULE = '#d9d4c8'

interface Cells {
  readonly label: string[]
  /** Columns of figures, oldest season first. */
  readonly values: string[][]
  readonly isMinor: boolean
}

/** The table of the two seasons: labels left, figures right, a fine rule under each row. */
export function tableBlock(content: SheetContent, width: number, type: TypeScale, fonts: SheetFonts): Block {
  const hasCompared = content.seasons.compared !== null
  const columns = hasCompared ? (['compared', 'shown'] as const) : (['shown'] as const)
  const look: TextLook = { face: 'sans', size: type.body, colour: INK }
  const show = (quantity: Quantity | null) =>
    quantity === null
      ? '–'
      : formatQuantity(quantity, content.reading).replaceAll(' ', '\u00a0').replace('\u00a0(', ' (')
  const most = width * (hasCompared ? 0.34 : 0.5)
  const rows: Cells[] = content.table.map(row => ({
    label: [row.label],
    values: columns.map(column => wrapText(show(row[column]), 'sans', type.body, most, fonts)),
    isMinor: row.isMinor ?? false,
  }))
  const columnWidth = Math.max(
    ...columns.map(column => fonts.width(content.seasons[column]!, 'sans-bold', type.body)),
    ...rows.flatMap(row => row.values.flat().map(text => fonts.width(text, 'sans', type.body))),
  )
  const pad = type.body * 1.35
  const labelWidth = width - columns.length * (columnWidth + pad)
  const pitch = type.body * 1.2
  const room = type.body * 0.42
  const laid = rows.map(row => {
    const label = row.label.flatMap(text => wrapText(text, 'sans', type.body, labelWidth, fonts))
    return { ...row, label, height: Math.max(label.length, ...row.values.map(value => value.length)) * pitch + room }
  })
  const headHeight = pitch + room
  const rightOf = (x: number, column: number) => x + width - (columns.length - 1 - column) * (columnWidth + pad)
  return {
    gap: type.body * 1.1,
    height: headHeight + laid.reduce((sum, row) => sum + row.height, 0),
    draw(x, y) {
      const items: Operator[] = [linePath([x, y, x + width, y], { colour: INK, width: 0.8 })]
      const heads = columns.map((column, i) => {
        const bold: TextLook = { face: 'sans-bold', size: type.body, colour: SEASON_SYMBOLS[column].stroke }
        return taggedAs('TH', [textAt(content.seasons[column]!, rightOf(x, i), y + pitch, bold, 'end')])
      })
      items.push(taggedAs('TR', [taggedAs('TD', []), ...heads]))
      let top = y + headHeight
      for (const row of laid) {
        items.push(linePath([x, top, x + width, top], { colour: RULE, width: 0.4 }))
        const line = { ...look, colour: row.isMinor ? SOFT_INK : INK }
        const at = (k: number) => top + pitch * (k + 1) - 0.5
        const label = spaced(row.label).map((text, k) => textAt(text, x, at(k), line))
        const values = row.values.map((value, i) =>
          taggedAs(
            'TD',
            value.map((text, k) => textAt(text, rightOf(x, i), at(k), line, 'end')),
          ),
        )
        items.push(taggedAs('TR', [taggedAs('TH', label), ...values]))
        top += row.height
      }
      items.push(linePath([x, top, x + width, top], { colour: INK, width: 0.5 }))
      return [taggedAs('Table', items)]
    },
  }
}
