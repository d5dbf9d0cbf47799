import { useVirtualizer } from '@tanstack/react-virtual'
import { type CSSProperties, type KeyboardEvent, useEffect, useRef, useState } from 'react'
import type { LedgerTable } from '../../core/desk-view.ts'
import { formatQuantity, type Quantity } from '../../core/model/index.ts'
import { selectFeatures } from '../state/selecting.ts'
import { useWindow } from '../state/use-window.ts'
import { nextSort, type Sort } from './order-rows.ts'

const ROW_HEIGHT = 26
/** The head stays in place above the rows and takes this much of the scroller. */
const HEAD_HEIGHT = 27

/** Least width of a column by what it holds, CSS pixels; 84 where nothing is said. */
const COLUMN_WIDTH: Readonly<Partial<Record<Quantity['kind'], number>>> = { text: 104, area: 118, length: 96, date: 92 }

interface Props {
  readonly ledger: LedgerTable
  /** Row numbers in the order shown. */
  readonly rows: readonly number[]
  readonly sort: Sort | null
  readonly chosen: ReadonlySet<number>
  onSort(sort: Sort | null): void
}

/** Only the rows in view are in the page; arrows move, Enter or a click selects, shift adds. */
export function LedgerGrid({ ledger, rows, sort, chosen, onSort }: Props) {
  const scroller = useRef<HTMLDivElement>(null)
  const [active, setActive] = useState(0)
  const virtual = useVirtualizer({
    count: rows.length,
    getScrollElement: () => scroller.current,
    estimateSize: () => ROW_HEIGHT,
    overscan: 12,
    scrollMargin: HEAD_HEIGHT,
    scrollPaddingStart: HEAD_HEIGHT,
  })
  const firstChosen = rows.findIndex(row => chosen.has(ledger.fids[row]!))
  useEffect(() => {
    if (firstChosen >= 0) virtual.scrollToIndex(firstChosen, { align: 'auto' })
  }, [firstChosen, virtual])
  const template = ledger.columns.map(({ kind }) => `minmax(${COLUMN_WIDTH[kind] ?? 84}px, 1fr)`).join(' ')
  const width = ledger.columns.reduce((sum, { kind }) => sum + (COLUMN_WIDTH[kind] ?? 84), 0)
  const choose = (at: number, isAdding: boolean) => {
    const fid = ledger.fids[rows[at] ?? -1]
    if (fid === undefined) return
    setActive(at)
    const others = [...chosen].filter(other => other !== fid)
    const fids = isAdding ? (others.length === chosen.size ? [...others, fid] : others) : [fid]
    void selectFeatures(fids.length === 0 ? null : { layer: ledger.layer, fids }, !isAdding)
  }
  const onKey = (event: KeyboardEvent) => {
    // The heads' own buttons take Enter themselves.
    if (event.target !== event.currentTarget) return
    const step = { ArrowDown: 1, ArrowUp: -1, PageDown: 10, PageUp: -10 }[event.key]
    if (event.key === 'Enter' || event.key === ' ') choose(active, event.shiftKey)
    else if (step === undefined) return
    else {
      const at = Math.min(rows.length - 1, Math.max(0, active + step))
      setActive(at)
      virtual.scrollToIndex(at)
    }
    event.preventDefault()
  }
  return (
    // biome-ignore lint/a11y/useSemanticElements: a table element cannot hold rows that are only there while in view
    <div
      className="grid"
      style={{ '--grid-width': `${width}px` } as CSSProperties}
      ref={scroller}
      role="grid"
      aria-label={ledger.title}
      aria-rowcount={rows.length + 1}
      tabIndex={0}
      onKeyDown={onKey}
      aria-activedescendant={rows.length > 0 ? `ledger-row-${active}` : undefined}
    >
      <GridHead ledger={ledger} sort={sort} template={template} onSort={onSort} />
      {/* biome-ignore lint/a11y/useSemanticElements: as above */}
      <div className="grid-rows" role="rowgroup">
        <div className="grid-length" style={{ height: virtual.getTotalSize() }} role="presentation">
          {virtual.getVirtualItems().map(item => (
            <GridRow
              key={item.key}
              ledger={ledger}
              at={item.index}
              row={rows[item.index]!}
              top={item.start - HEAD_HEIGHT}
              template={template}
              isChosen={chosen.has(ledger.fids[rows[item.index]!]!)}
              isActive={item.index === active}
              onChoose={choose}
            />
          ))}
        </div>
      </div>
    </div>
  )
}

interface HeadProps {
  readonly ledger: LedgerTable
  readonly sort: Sort | null
  readonly template: string
  onSort(sort: Sort | null): void
}

function GridHead({ ledger, sort, template, onSort }: HeadProps) {
  const wordFor = (column: number) =>
    sort?.column !== column ? 'none' : sort.isDescending ? 'descending' : 'ascending'
  return (
    // biome-ignore lint/a11y/useSemanticElements: row of the grid above
    // biome-ignore lint/a11y/useFocusableInteractive: the column buttons are its stops
    <div className="grid-head" role="row" aria-rowindex={1} style={{ gridTemplateColumns: template }}>
      {ledger.columns.map((column, i) => (
        // biome-ignore lint/a11y/useSemanticElements: column head of the grid above
        // biome-ignore lint/a11y/useFocusableInteractive: its button is the stop
        <span key={column.id} role="columnheader" aria-sort={wordFor(i)} className={`is-${column.kind}`}>
          <button type="button" onClick={() => onSort(nextSort(sort, i))}>
            {column.label}
            <span aria-hidden="true">{wordFor(i) === 'none' ? '' : wordFor(i) === 'ascending' ? ' ↑' : ' ↓'}</span>
          </button>
        </span>
      ))}
    </div>
  )
}

interface RowProps {
  readonly ledger: LedgerTable
  readonly at: number
  readonly row: number
  readonly top: number
  readonly template: string
  readonly isChosen: boolean
  readonly isActive: boolean
  onChoose(at: number, isAdding: boolean): void
}

function GridRow({ ledger, at, row, top, template, isChosen, isActive, onChoose }: RowProps) {
  const reading = useWindow(state => state.reading)
  return (
    // biome-ignore lint/a11y/useSemanticElements: row of the grid above
    // biome-ignore lint/a11y/useFocusableInteractive: the row group holds the focus and names the active row
    // biome-ignore lint/a11y/useKeyWithClickEvents: the row group takes the keys
    <div
      id={`ledger-row-${at}`}
      role="row"
      aria-rowindex={at + 2}
      aria-selected={isChosen}
      className={`grid-row${isChosen ? ' is-chosen' : ''}${isActive ? ' is-active' : ''}`}
      style={{ transform: `translateY(${top}px)`, gridTemplateColumns: template }}
      onClick={event => onChoose(at, event.shiftKey || event.ctrlKey || event.metaKey)}
    >
      {ledger.columns.map((column, i) => (
        // biome-ignore lint/a11y/useSemanticElements: cell of the grid above
        // biome-ignore lint/a11y/useFocusableInteractive: cells are read, rows are chosen
        <span key={column.id} role="gridcell" className={`is-${column.kind}`}>
          {formatQuantity({ kind: column.kind, value: ledger.rows[row]![i] ?? null }, reading)}
        </span>
      ))}
    </div>
  )
}
