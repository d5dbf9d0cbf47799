import type { Rect, TextOperator } from './display-list.ts'
import type { SheetFonts } from './fonts.ts'
import { boxesOverlap, boxOfText, type TextBox } from './text-box.ts'

/** Places labels one by one where they touch neither each other nor what was kept free, inside a rectangle. */
export class LabelField {
  readonly #fonts: SheetFonts
  readonly #bounds: Rect
  /** Boxes by the cells of a coarse grid that they touch, so that a crowded map stays quick. */
  readonly #taken: BoxGrid = new Map()
  readonly #avoided: BoxGrid = new Map()
  readonly placed: TextOperator[] = []

  constructor(fonts: SheetFonts, bounds: Rect) {
    this.#fonts = fonts
    this.#bounds = bounds
  }

  /** Keeps labels off a box. */
  block(box: TextBox): void {
    addTo(this.#taken, box)
  }

  /** Keeps labels off a box as long as another place is free. */
  avoid(box: TextBox): void {
    addTo(this.#avoided, box)
  }

  /** Puts the label at the first of the places that is free; false where none is, and the label is left out. */
  place(candidates: Iterable<TextOperator>, margin = 1.2): boolean {
    return (
      this.placeTogether(
        [...candidates].map(text => [text]),
        margin,
      ) !== null
    )
  }

  /** The same for labels of several texts that stand or fall together; the place taken, or null. */
  placeTogether<T extends readonly TextOperator[]>(candidates: Iterable<T>, margin = 1.2): T | null {
    let spare: { readonly texts: T; readonly boxes: readonly TextBox[] } | null = null
    for (const texts of candidates) {
      const boxes = texts.map(text => grownBox(boxOfText(text, this.#fonts), margin))
      if (!boxes.every(box => this.#isInside(box) && isFree(this.#taken, box))) continue
      spare ??= { texts, boxes }
      if (!boxes.every(box => isFree(this.#avoided, box))) continue
      spare = { texts, boxes }
      break
    }
    if (spare === null) return null
    for (const box of spare.boxes) this.block(box)
    this.placed.push(...spare.texts)
    return spare.texts
  }

  boxOf(text: TextOperator): TextBox {
    return boxOfText(text, this.#fonts)
  }

  #isInside(box: TextBox): boolean {
    const [left, top, right, bottom] = this.#bounds
    return [0, 2, 4, 6].every(i => box[i]! >= left && box[i]! <= right && box[i + 1]! >= top && box[i + 1]! <= bottom)
  }
}

const CELL = 24

type BoxGrid = Map<number, TextBox[]>

function addTo(grid: BoxGrid, box: TextBox): void {
  for (const cell of cellsOf(box)) {
    const held = grid.get(cell)
    if (held === undefined) grid.set(cell, [box])
    else held.push(box)
  }
}

const isFree = (grid: BoxGrid, box: TextBox): boolean =>
  cellsOf(box).every(cell => !grid.get(cell)?.some(other => boxesOverlap(box, other)))

function cellsOf(box: TextBox): number[] {
  const span = (offset: number) => {
    const values = [0, 2, 4, 6].map(i => box[i + offset]!)
    return [Math.floor(Math.min(...values) / CELL), Math.floor(Math.max(...values) / CELL)] as const
  }
  const [[left, right], [top, bottom]] = [span(0), span(1)]
  const cells: number[] = []
  for (let x = left; x <= right; x++) for (let y = top; y <= bottom; y++) cells.push(x * 10_000 + y)
  return cells
}

/** The box with every corner pushed out from its middle by `margin` along both of its own edges. */
function grownBox(box: TextBox, margin: number): TextBox {
  const unit = (from: number, to: number) => {
    const [dx, dy] = [box[to]! - box[from]!, box[to + 1]! - box[from + 1]!]
    const length = Math.hypot(dx, dy) || 1
    return [(dx / length) * margin, (dy / length) * margin] as const
  }
  const [ax, ay] = unit(0, 2)
  const [bx, by] = unit(2, 4)
  return [
    box[0] - ax - bx,
    box[1] - ay - by,
    box[2] + ax - bx,
    box[3] + ay - by,
    box[4] + ax + bx,
    box[5] + ay + by,
    box[6] - ax + bx,
    box[7] - ay + by,
  ]
}

/** The eight places round a point, right first; `clear` points away. */
export function* placesRound(
  base: Omit<TextOperator, 'op' | 'x' | 'y' | 'align'>,
  x: number,
  y: number,
  clear: number,
): Generator<TextOperator> {
  const middle = base.size * 0.34
  const side = clear * 0.75
  const at = (dx: number, dy: number, align: TextOperator['align']): TextOperator => ({
    op: 'text',
    ...base,
    x: x + dx,
    y: y + dy,
    align,
  })
  yield at(clear, middle, 'start')
  yield at(-clear, middle, 'end')
  yield at(0, -clear, 'middle')
  yield at(0, clear + base.size * 0.72, 'middle')
  yield at(side, -side, 'start')
  yield at(side, side + base.size * 0.7, 'start')
  yield at(-side, -side, 'end')
  yield at(-side, side + base.size * 0.7, 'end')
}
