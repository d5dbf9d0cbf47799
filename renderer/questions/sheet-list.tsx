import { FileDown } from 'lucide-react'
import { useEffect, useState } from 'react'
import { Button } from 'react-aria-components'
import type { SheetEntry } from '../../core/desk-view.ts'
import { desk, showFailure } from '../state/desk-session.ts'
import { saveSheet } from '../state/saving.ts'
import { useWindow } from '../state/use-window.ts'
import { SheetPreview } from './sheet-preview.tsx'

/** The sheets of the brief: look at one, save it for print. */
export function SheetList() {
  const version = useWindow(state => state.map.version)
  const choice = useWindow(state => state.choice)
  const isBusy = useWindow(state => state.work !== null)
  const [sheets, setSheets] = useState<readonly SheetEntry[]>([])
  const [shown, setShown] = useState<string | null>(null)
  useEffect(() => {
    void version
    desk()
      .call('sheets')
      .then(found => {
        setSheets(found)
        setShown(before => before ?? found[0]?.id ?? null)
      })
      .catch(showFailure)
  }, [version])
  if (sheets.length === 0)
    return <p className="empty-note">The brief asks for no sheet. Add one under “sheets” in the brief.</p>
  const entry = sheets.find(sheet => sheet.id === shown)
  return (
    <section aria-label="Sheets">
      <h2>Sheets</h2>
      <p className="soft">
        Of {choice.shown}
        {choice.compared === null ? '' : ` beside ${choice.compared}`}, the seasons chosen below the map.
      </p>
      <ul className="sheet-list">
        {sheets.map(sheet => (
          <li key={sheet.id} className={sheet.id === shown ? 'is-shown' : ''}>
            <button type="button" aria-pressed={sheet.id === shown} onClick={() => setShown(sheet.id)}>
              <strong>{sheet.title}</strong>
              <span className="soft">
                {sheet.page} · for {sheet.audience}
              </span>
            </button>
            <Button
              className="button"
              isDisabled={isBusy}
              aria-label={`Save ${sheet.title} as PDF`}
              onPress={() => void saveSheet(sheet.id)}
            >
              <FileDown size={14} aria-hidden="true" /> PDF
            </Button>
          </li>
        ))}
      </ul>
      {entry !== undefined && (
        <SheetPreview
          key={`${entry.id} ${version} ${choice.shown} ${choice.compared ?? ''}`}
          sheet={entry}
          choice={choice}
        />
      )}
    </section>
  )
}
