import { useEffect } from 'react'
import type { MenuCommand } from '../../electron/ipc/surface.ts'
import { COMMANDS, turnLedger } from '../find/commands.ts'
import { chooseBrief } from '../state/desk-session.ts'
import { endMeasure, leaveTool } from '../state/measuring.ts'
import { saveProject } from '../state/saving.ts'
import { selectFeatures } from '../state/selecting.ts'
import { windowStore } from '../state/window-state.ts'

/** Where letters are written; a radio button or a box to tick takes none. */
const WRITING = 'input:not([type="radio"], [type="checkbox"]), select, textarea, [role="dialog"], [role="menu"]'

const isWriting = (target: EventTarget | null) => target instanceof HTMLElement && target.closest(WRITING) !== null

const isButton = (target: EventTarget | null) =>
  target instanceof HTMLElement && target.closest('button, a, summary, [role="grid"]') !== null

/** Single letters do what the find box offers with the same letter; never while someone writes. */
export function useShortcuts(): void {
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (event.ctrlKey || event.metaKey || event.altKey || isWriting(event.target)) return
      const { tool } = windowStore.get()
      if (event.key === 'Escape') return tool === 'pick' ? void selectFeatures(null) : leaveTool()
      if (event.key === 'Enter' && tool !== 'pick' && !isButton(event.target)) return endMeasure()
      if (event.key === '/') {
        event.preventDefault()
        return focusFind()
      }
      const { phase, work } = windowStore.get()
      if (phase !== 'open' || work !== null) return
      COMMANDS.find(command => command.keys === event.key.toUpperCase())?.act()
    }
    document.addEventListener('keydown', onKey)
    return () => document.removeEventListener('keydown', onKey)
  }, [])
}

const focusFind = () => document.getElementById('find')?.focus()

/** What the desktop's menu asks for. */
export function doMenuCommand(command: MenuCommand): void {
  if (command === 'open-brief') void chooseBrief()
  else if (command === 'save-project') void saveProject()
  else if (command === 'find') focusFind()
  else if (command === 'ledger') turnLedger()
}
