import { Fragment } from 'react'
import { formatQuantity, type Phrase, type Quantity } from '../../core/model/index.ts'
import { useWindow } from '../state/use-window.ts'

/** A figure in the reader's units. */
export function QuantityText({ quantity }: { readonly quantity: Quantity }) {
  const reading = useWindow(state => state.reading)
  return <span className="figure">{formatQuantity(quantity, reading)}</span>
}

/** A sentence with its figures set as figures. */
export function PhraseText({ phrase }: { readonly phrase: Phrase }) {
  return phrase.map((piece, i) => {
    const key = `${i}`
    return typeof piece === 'string' ? (
      <Fragment key={key}>{piece}</Fragment>
    ) : (
      <QuantityText key={key} quantity={piece} />
    )
  })
}
