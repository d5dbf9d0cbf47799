import { Eye, EyeClosed, EyeOff, GripVertical } from 'lucide-react'
import { type DragEvent, type KeyboardEvent, memo, useCallback, useState } from 'react'
import { Button, Menu, MenuItem, MenuTrigger, Popover } from 'react-aria-components'
import type { LegendRow } from '../../core/desk-view.ts'
import { useWindow } from '../state/use-window.ts'
import { type RowState, windowStore } from '../state/window-state.ts'
import { Swatch } from '../theme/swatch.tsx'
import { moveKey, NEXT_STATE, orderRows, rowKey, rowState } from './legend-state.ts'

const STATE_WORDS: Readonly<Record<RowState, string>> = { show: 'shown', dim: 'dimmed', hide: 'hidden' }
const ACT_WORDS: Readonly<Record<RowState, string>> = { show: 'show', dim: 'dim', hide: 'hide' }

/** What is drawn, from the top of the drawing down; each row switches its own symbol and can be moved. */
export function Legend() {
  const legend = useWindow(state => state.view?.legend)
  const notes = useWindow(state => state.view?.legendNotes)
  const order = useWindow(state => state.order)
  const [carried, setCarried] = useState<number | null>(null)
  const [under, setUnder] = useState<number | null>(null)
  const [said, setSaid] = useState('')
  const move = useCallback((from: number, to: number) => {
    const words = moveRow(from, to)
    if (words !== null) setSaid(words)
  }, [])
  if (legend === undefined || legend.length === 0) return null
  const shown = orderRows(legend, order)
  const drop = (to: number) => {
    if (carried !== null) move(carried, to)
    setCarried(null)
    setUnder(null)
  }
  return (
    <section className="legend" aria-label="Legend">
      <div className="legend-head">
        <h2>Legend</h2>
        <span className="visually-hidden" role="status">
          {said}
        </span>
        {order.length > 0 && (
          <button type="button" className="link" onClick={() => windowStore.set({ order: [] })}>
            Usual order
          </button>
        )}
      </div>
      <ol>
        {shown.map((row, at) => (
          <LegendLine
            key={row.id}
            row={row}
            at={at}
            last={shown.length - 1}
            isCarried={carried === at}
            side={under !== at || carried === null || carried === at ? null : at < carried ? 'above' : 'below'}
            onMove={move}
            onCarry={setCarried}
            onOver={setUnder}
            onDrop={drop}
          />
        ))}
      </ol>
      {notes?.map(note => (
        <p key={note} className="legend-note soft">
          {note}
        </p>
      ))}
    </section>
  )
}

/** Moves a row of the legend as it stands to another one's place; says what came of it, null where nothing did. */
function moveRow(from: number, to: number): string | null {
  const { view, order } = windowStore.get()
  const shown = orderRows(view?.legend ?? [], order)
  const [row, target] = [shown[from], shown[to]]
  if (row === undefined || target === undefined || row === target) return null
  windowStore.set({ order: moveKey(order, shown.map(rowKey), rowKey(row), rowKey(target)) })
  return `${row.label}: drawn ${to < from ? 'over' : 'under'} ${target.label}`
}

interface LineProps {
  readonly row: LegendRow
  readonly at: number
  readonly last: number
  readonly isCarried: boolean
  readonly side: 'above' | 'below' | null
  onMove(from: number, to: number): void
  onCarry(at: number | null): void
  onOver(at: number | null): void
  onDrop(at: number): void
}

function LegendLine({ row, at, last, isCarried, side, onMove, onCarry, onOver, onDrop }: LineProps) {
  const onKey = (event: KeyboardEvent) => {
    const step = { ArrowUp: -1, ArrowDown: 1 }[event.key]
    if (step === undefined || !event.altKey) return
    event.preventDefault()
    onMove(at, at + step)
  }
  const onDragStart = (event: DragEvent) => {
    event.dataTransfer.effectAllowed = 'move'
    event.dataTransfer.setData('text/plain', row.label)
    onCarry(at)
  }
  return (
    <li
      className={`${isCarried ? 'is-carried' : ''}${side === null ? '' : ' is-under'}`}
      data-side={side ?? undefined}
      draggable
      onKeyDown={onKey}
      onDragStart={onDragStart}
      onDragEnd={() => {
        onCarry(null)
        onOver(null)
      }}
      onDragOver={event => {
        event.preventDefault()
        onOver(at)
      }}
      onDrop={event => {
        event.preventDefault()
        onDrop(at)
      }}
    >
      <LegendSwitch row={row} />
      <MoveMenu label={row.label} at={at} last={last} onMove={onMove} />
    </li>
  )
}

function LegendSwitch({ row }: { readonly row: LegendRow }) {
  const state = useWindow(({ rows }) => rowState(row, rows))
  const next = NEXT_STATE[state]
  const turn = () => windowStore.set({ rows: { ...windowStore.get().rows, [rowKey(row)]: next } })
  return (
    <button type="button" className={`legend-row is-${state}`} onClick={turn} title={`Click to ${ACT_WORDS[next]}`}>
      <Swatch symbol={row.symbol} layer={row.layer} />
      <span className="legend-label">{row.label}</span>
      <span className="visually-hidden">: {STATE_WORDS[state]}</span>
      <StateMark state={state} />
    </button>
  )
}

const PLACES = {
  top: () => 0,
  up: (at: number) => at - 1,
  down: (at: number) => at + 1,
  bottom: (_at: number, last: number) => last,
} as const
type Place = keyof typeof PLACES

type MenuProps = Pick<LineProps, 'at' | 'last' | 'onMove'> & { readonly label: string }

/** Moving without dragging: the same by menu, and with Alt and the arrows on the row. */
const MoveMenu = memo(function MoveMenu({ label, at, last, onMove }: MenuProps) {
  return (
    <MenuTrigger>
      <Button className="legend-move" aria-label={`Move ${label}`}>
        <GripVertical size={13} aria-hidden="true" />
      </Button>
      <Popover className="popover" offset={2}>
        <Menu
          className="menu"
          aria-label={`Move ${label}`}
          onAction={key => onMove(at, PLACES[key as Place](at, last))}
        >
          <MenuItem className="menu-item" id="top" isDisabled={at === 0}>
            To the top
          </MenuItem>
          <MenuItem className="menu-item" id="up" isDisabled={at < 2}>
            Up
          </MenuItem>
          <MenuItem className="menu-item" id="down" isDisabled={at > last - 2}>
            Down
          </MenuItem>
          <MenuItem className="menu-item" id="bottom" isDisabled={at === last}>
            To the bottom
          </MenuItem>
        </Menu>
      </Popover>
    </MenuTrigger>
  )
})

function StateMark({ state }: { readonly state: RowState }) {
  if (state === 'show') return <Eye size={13} aria-hidden="true" />
  return state === 'dim' ? <EyeClosed size={13} aria-hidden="true" /> : <EyeOff size={13} aria-hidden="true" />
}
