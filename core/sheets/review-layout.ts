import type { Box } from '../model/geometry.ts'
import { type Block, flowBlocks, stackBlocks } from './blocks.ts'
import type { Operator, Rect } from './display-list.ts'
import type { PanelNeeds } from './map-panel.ts'
import { roundScaleFor } from './page-transform.ts'

/** Factors of the type, largest first. */
const FACTORS = [1.6, 1.5, 1.4, 1.3, 1.22, 1.15, 1.08, 1.02, 0.97, 0.92, 0.88, 0.85]
/** Smallest type of a page whose text runs over. */
const RUN_OVER = 0.9
/** Type above this is worth no smaller map. */
const EASY_TYPE = 1.06
/** Between the map's panel and the text under it. */
const GAP = 10

export interface LaidText<Setting> {
  readonly setting: Setting
  readonly blocks: readonly Block[]
}

/** A first page: where the map goes, its text drawn, and what found no room. */
export interface Layout<Setting> {
  readonly setting: Setting
  /** Map panel: map, scale, legend and notes. */
  readonly panel: Rect
  readonly needs: PanelNeeds
  readonly items: readonly Operator[]
  readonly rest: readonly Block[]
}

export interface LayoutQuestion<Setting> {
  /** Free ground: the map's panel at the top, text under it. */
  readonly area: Rect
  /** Text column beside the panel, over the whole height; null for none. */
  readonly column: Rect | null
  /** Columns of text under the panel. */
  readonly columns: number
  readonly gutter: number
  readonly extent: Box
  /** A fixed scale, where one was asked for. */
  readonly scale: number | undefined
  /** Largest factor that does not break the lines of the table. */
  readonly mostFactor: number
  /** Ways to put legend and scale round the map. */
  readonly panels: readonly PanelNeeds[]
  /** The first block opens the column beside the panel, or the first column under it. */
  make(factor: number): LaidText<Setting>
}

interface Candidate<Setting> {
  readonly text: LaidText<Setting>
  readonly needs: PanelNeeds
  readonly share: Share
}

/**
 * The layout in which everything stands on one page with the largest map, type of an easy size weighed against it;
 * where nothing fits, small type, and the rest runs over.
 */
export function findLayout<Setting>(question: LayoutQuestion<Setting>): Layout<Setting> {
  let best: (Candidate<Setting> & { readonly cost: number }) | null = null
  const [left, top, right, bottom] = question.area
  for (const factor of FACTORS.filter(one => one <= question.mostFactor)) {
    const text = question.make(factor)
    const share = shareBlocks(text.blocks, question)
    for (const needs of question.panels) {
      const panelBottom = bottom - (share.high > 0 ? share.high + GAP : 0)
      const mapHigh = panelBottom - top - needs.down
      if (mapHigh < Math.max(needs.leastHeight, 0.28 * (bottom - top))) continue
      const box: Rect = [0, 0, right - left - needs.across, mapHigh]
      const scale = question.scale ?? roundScaleFor(question.extent, box)
      const cost = Math.log(scale) - 0.8 * Math.log(Math.min(factor, EASY_TYPE))
      if (best === null || cost < best.cost - 1e-9) best = { text, needs, share, cost }
    }
  }
  return best === null ? runOver(question) : laidOut(question, best)
}

function laidOut<Setting>(
  question: LayoutQuestion<Setting>,
  { text, needs, share }: Candidate<Setting>,
): Layout<Setting> {
  const [left, top, right, bottom] = question.area
  const columns = columnsWith(question, share.high)
  return {
    setting: text.setting,
    panel: [left, top, right, bottom - (share.high > 0 ? share.high + GAP : 0)],
    needs,
    items: share.columns.flatMap((blocks, i) => (blocks.length === 0 ? [] : flowBlocks(blocks, [columns[i]!]).items)),
    rest: [],
  }
}

function runOver<Setting>(question: LayoutQuestion<Setting>): Layout<Setting> {
  const [left, top, right, bottom] = question.area
  const text = question.make(RUN_OVER)
  const high = question.column === null ? (bottom - top) * 0.34 : 0
  const { items, rest } = flowBlocks(text.blocks, columnsWith(question, high))
  const panel: Rect = [left, top, right, bottom - (high > 0 ? high + GAP : 0)]
  return { setting: text.setting, panel, needs: question.panels[0]!, items, rest }
}

/** The column beside the panel, if any, and those under it. */
function columnsWith({ area, column, columns, gutter }: LayoutQuestion<unknown>, high: number): Rect[] {
  const [left, , right, bottom] = area
  const width = (right - left - gutter * (columns - 1)) / columns
  const under = Array.from({ length: high > 0 ? columns : 0 }, (_, i): Rect => {
    const x = left + i * (width + gutter)
    return [x, bottom - high, x + width, bottom]
  })
  return column === null ? under : [column, ...under]
}

/** Blocks by column, and the height that those under the panel need. */
interface Share {
  readonly columns: readonly (readonly Block[])[]
  readonly high: number
}

/** More groups than this are shared out in their order instead of by trying every way. */
const MOST_GROUPS = 8

/**
 * Shares the blocks out so that the columns under the panel are as low as can be; what belongs together stays in one column,
 * in its order. The first group, and every `isFixed` one, stands in the first column.
 */
function shareBlocks(blocks: readonly Block[], question: LayoutQuestion<unknown>): Share {
  const groups = groupsOf(blocks)
  const hasColumn = question.column !== null
  const beside = question.column === null ? 0 : question.column[3] - question.column[1]
  const count = question.columns + (hasColumn ? 1 : 0)
  if (groups.length > MOST_GROUPS) return { columns: [], high: Infinity }
  let best: Share = { columns: [], high: Infinity }
  let leastRag = Infinity
  const ways = count ** (groups.length - 1)
  for (let way = 0; way < ways; way++) {
    const columns = Array.from({ length: count }, (): Block[] => [])
    for (let i = 0, code = way * count; i < groups.length; i++, code = Math.floor(code / count)) {
      const at = i === 0 || groups[i]!.isFixed ? 0 : code % count
      columns[at]!.push(groups[i]!.block)
    }
    const highs = columns.map(heightOf)
    if (hasColumn && highs[0]! > beside) continue
    const high = Math.max(0, ...(hasColumn ? highs.slice(1) : highs))
    const rag = raggedness(hasColumn ? highs.slice(1) : highs)
    const isLower = high < best.high - SAME_HEIGHT
    if (!isLower && (high > best.high + SAME_HEIGHT || rag >= leastRag)) continue
    best = { columns, high: high === 0 ? 0 : high + 0.5 }
    leastRag = rag
  }
  return best
}

/** Heights that differ by less look the same, points. */
const SAME_HEIGHT = 1

/** How uneven columns are; one that stands empty left of another counts most. */
function raggedness(highs: readonly number[]): number {
  const squares = highs.reduce((sum, high) => sum + high * high, 0)
  const hasHole = highs.some((high, i) => high === 0 && highs.slice(i + 1).some(later => later > 0))
  return squares + (hasHole ? 1e9 : 0)
}

const heightOf = (blocks: readonly Block[]): number =>
  blocks.reduce((sum, block, i) => sum + block.height + (i === 0 ? 0 : block.gap), 0)

/** Blocks that follow on from the one before them, as one with it. */
function groupsOf(blocks: readonly Block[]): { readonly block: Block; readonly isFixed: boolean }[] {
  const groups: { blocks: Block[]; isFixed: boolean }[] = []
  for (const block of blocks) {
    if (block.follows === true && groups.length > 0) groups.at(-1)!.blocks.push(block)
    else groups.push({ blocks: [block], isFixed: block.isFixed === true })
  }
  return groups.map(group => ({ block: stackBlocks(group.blocks), isFixed: group.isFixed }))
}
