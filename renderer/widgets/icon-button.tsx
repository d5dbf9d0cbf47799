import type { ReactNode } from 'react'
import { Button, Tooltip, TooltipTrigger } from 'react-aria-components'

interface Props {
  readonly label: string
  readonly children: ReactNode
  readonly isDisabled?: boolean
  onPress(): void
}

/** A button that is one picture; its words are in the tooltip and for screen readers. */
export function IconButton({ label, children, isDisabled = false, onPress }: Props) {
  return (
    <TooltipTrigger delay={500}>
      <Button className="icon-button" aria-label={label} isDisabled={isDisabled} onPress={onPress}>
        {children}
      </Button>
      <Tooltip className="tooltip" offset={6}>
        {label}
      </Tooltip>
    </TooltipTrigger>
  )
}
