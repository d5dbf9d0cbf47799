import { useEffect, useState } from 'react'
import { Button, Dialog, DialogTrigger, Modal, ModalOverlay } from 'react-aria-components'
import type { SeasonChoice, SheetEntry } from '../../core/desk-view.ts'
import { desk } from '../state/desk-session.ts'
import { DeskError } from '../worker/desk-client.ts'

type Drawn = { readonly address: string } | { readonly reason: string } | null

/** The sheet as it will print, drawn from the same list as the PDF; a click shows it large. */
export function SheetPreview({ sheet, choice }: { readonly sheet: SheetEntry; readonly choice: SeasonChoice }) {
  const drawn = useSheetImage(sheet.id, choice)
  if (drawn === null) return <p className="empty-note">Drawing the sheet …</p>
  if ('reason' in drawn) return <p className="empty-note">The sheet could not be drawn: {drawn.reason}</p>
  const picture = <img src={drawn.address} alt={`Preview of ${sheet.title}`} />
  return (
    <DialogTrigger>
      <Button className="sheet-preview" aria-label={`Show ${sheet.title} large`}>
        {picture}
      </Button>
      <ModalOverlay className="overlay" isDismissable>
        <Modal className="sheet-large">
          <Dialog aria-label={sheet.title}>{picture}</Dialog>
        </Modal>
      </ModalOverlay>
    </DialogTrigger>
  )
}

function useSheetImage(id: string, choice: SeasonChoice): Drawn {
  const [drawn, setDrawn] = useState<Drawn>(null)
  useEffect(() => {
    const held: { address: string | null; isGone: boolean } = { address: null, isGone: false }
    desk()
      .call('drawSheet', id, 'svg', choice)
      .then(bytes => {
        if (held.isGone) return
        held.address = URL.createObjectURL(new Blob([bytes as Uint8Array<ArrayBuffer>], { type: 'image/svg+xml' }))
        setDrawn({ address: held.address })
      })
      .catch((error: unknown) => {
        const reason = error instanceof DeskError ? error.failure.problem.reason : String(error)
        if (!held.isGone) setDrawn({ reason })
      })
    return () => {
      held.isGone = true
      if (held.address !== null) URL.revokeObjectURL(held.address)
    }
  }, [id, choice])
  return drawn
}
