import { type ChangeEvent, useId } from 'react'
import { Button } from 'react-aria-components'
import type { SettingRow } from '../../core/desk-view.ts'
import { runSeason } from '../state/desk-session.ts'
import { useWindow } from '../state/use-window.ts'
import { windowStore } from '../state/window-state.ts'

/** How the answer was worked out: the few settings, where each comes from, and what changing it changes. */
export function SettingList({ settings }: { readonly settings: readonly SettingRow[] }) {
  const changes = useWindow(state => state.changes)
  const isBusy = useWindow(state => state.work !== null)
  if (settings.length === 0) return null
  const changed = settings.filter(row => changes[row.path] !== undefined).length
  const isBad = settings.some(row => !isAllowed(row, changes[row.path] ?? row.value))
  return (
    <details className="settings" open={changed > 0 ? true : undefined}>
      <summary>How it was worked out</summary>
      {settings.map(row => (
        <SettingField key={row.path} row={row} value={changes[row.path] ?? row.value} />
      ))}
      {changed > 0 && (
        <div className="settings-run">
          <Button className="button is-first" isDisabled={isBusy || isBad} onPress={() => void runSeason()}>
            Run with {changed === 1 ? 'this change' : `these ${changed} changes`}
          </Button>
          <Button className="button" onPress={() => dropChanges(settings)}>
            Put back
          </Button>
        </div>
      )}
    </details>
  )
}

function dropChanges(settings: readonly SettingRow[]): void {
  const dropped = new Set(settings.map(row => row.path))
  const kept = Object.entries(windowStore.get().changes).filter(([path]) => !dropped.has(path))
  windowStore.set({ changes: Object.fromEntries(kept) })
}

function isAllowed(row: SettingRow, value: number | string): boolean {
  if (typeof row.value === 'string') return value !== ''
  return (
    typeof value === 'number' &&
    Number.isFinite(value) &&
    (row.min === null || value >= row.min) &&
    (row.max === null || value <= row.max)
  )
}

function change(row: SettingRow, text: string): void {
  const value = typeof row.value === 'string' ? text : text.trim() === '' ? Number.NaN : Number(text)
  const { [row.path]: _, ...others } = windowStore.get().changes
  windowStore.set({ changes: value === row.value ? others : { ...others, [row.path]: value } })
}

function SettingField({ row, value }: { readonly row: SettingRow; readonly value: number | string }) {
  const id = useId()
  const isFine = isAllowed(row, value)
  const range = [row.min === null ? '' : `at least ${row.min}`, row.max === null ? '' : `at most ${row.max}`]
  return (
    <div className="setting">
      <label htmlFor={id}>{row.label}</label>
      <span className="setting-value">
        <input
          id={id}
          type={typeof row.value === 'number' ? 'number' : 'text'}
          step="any"
          min={row.min ?? undefined}
          max={row.max ?? undefined}
          value={typeof value === 'number' && Number.isNaN(value) ? '' : value}
          aria-describedby={`${id}-note`}
          aria-invalid={!isFine}
          onChange={(event: ChangeEvent<HTMLInputElement>) => change(row, event.target.value)}
        />
        <span className="soft">{row.unit}</span>
      </span>
      <p id={`${id}-note`} className="setting-note">
        {isFine ? row.effect : `A number, ${range.filter(part => part !== '').join(', ') || 'please'}.`}{' '}
        <span className="soft">Source: {row.source}.</span>
      </p>
    </div>
  )
}
