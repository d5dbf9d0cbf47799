import { CornerDownRight, MapPin, Search } from 'lucide-react'
import { type KeyboardEvent, useEffect, useState } from 'react'
import { ComboBox, Input, type Key, ListBox, ListBoxItem, Popover } from 'react-aria-components'
import type { FindHit } from '../../core/desk-view.ts'
import { formatPlace } from '../map/coordinates.ts'
import { desk, showFailure } from '../state/desk-session.ts'
import { goToHit } from '../state/selecting.ts'
import { useWindow } from '../state/use-window.ts'
import { windowStore } from '../state/window-state.ts'
import { type Command, findCommands } from './commands.ts'
import { parsePlace } from './parse-place.ts'

type Offer =
  | { readonly id: string; readonly label: string; readonly hint: string; readonly hit: FindHit }
  | { readonly id: string; readonly label: string; readonly hint: string; readonly command: Command }

/** Half of the box that a typed place is shown in, degrees. */
const PLACE_REACH = 0.004
const HITS_SHOWN = 12

/** One box to go anywhere: parcels, reaches, patches, typed coordinates, and everything the window can do. */
export function FindBox() {
  const [text, setText] = useState('')
  const offers = useOffers(text)
  const isOpen = useWindow(state => state.phase === 'open')
  const take = (key: Key | null) => {
    const offer = offers.find(one => one.id === key)
    if (offer === undefined) return
    setText('')
    setTimeout(leaveBox)
    if ('hit' in offer) void goToHit(offer.hit)
    else offer.command.act()
  }
  const onKey = (event: KeyboardEvent<HTMLInputElement>) => {
    if (event.key !== 'Enter' || event.currentTarget.getAttribute('aria-activedescendant')) return
    const typed = event.currentTarget.value.trim()
    if (typed === '') return
    event.preventDefault()
    event.stopPropagation()
    setText('')
    setTimeout(leaveBox)
    void takeFirst(typed)
  }
  return (
    <ComboBox
      className="find"
      aria-label="Find a parcel, reach, patch, place or command"
      items={offers}
      inputValue={text}
      onInputChange={setText}
      value={null}
      onChange={take}
      defaultFilter={() => true}
      allowsEmptyCollection={text !== ''}
      allowsCustomValue
      menuTrigger="focus"
      isDisabled={!isOpen}
    >
      <div className="find-field">
        <Search size={14} aria-hidden="true" />
        <Input id="find" onKeyDownCapture={onKey} placeholder="Find a parcel, a reach, 35.71 -45.76, a command" />
        <kbd>/</kbd>
      </div>
      <Popover className="popover find-list" offset={4}>
        <ListBox<Offer> renderEmptyState={() => <p className="empty-note">Nothing by that name.</p>}>
          {offer => (
            <ListBoxItem id={offer.id} textValue={offer.label} className="find-offer">
              {'hit' in offer ? (
                <MapPin size={13} aria-hidden="true" />
              ) : (
                <CornerDownRight size={13} aria-hidden="true" />
              )}
              <span>{offer.label}</span>
              <span className="soft">{offer.hint}</span>
            </ListBoxItem>
          )}
        </ListBox>
      </Popover>
    </ComboBox>
  )
}

/** After a choice the keys belong to the map again; otherwise the emptied box would offer its list anew. */
function leaveBox(): void {
  const map = document.querySelector<HTMLElement>('.maplibregl-canvas')
  if (map === null) document.getElementById('find')?.blur()
  else map.focus()
}

/** Enter on what was typed takes the first of what it finds, whether the list has come by then or not. */
async function takeFirst(text: string): Promise<void> {
  try {
    const hits = parsePlace(text) === null ? await desk().call('find', text, windowStore.get().choice) : []
    const [first] = offersOf(text, hits)
    if (first === undefined) windowStore.set({ notice: `Nothing is called ${text}.` })
    else if ('hit' in first) await goToHit(first.hit)
    else first.command.act()
  } catch (error) {
    showFailure(error)
  }
}

function useOffers(text: string): readonly Offer[] {
  const [hits, setHits] = useState<readonly FindHit[]>([])
  const clean = text.trim()
  const choice = useWindow(state => state.choice)
  useEffect(() => {
    if (clean === '') return setHits([])
    let isLate = false
    desk()
      .call('find', clean, choice)
      .then(found => isLate || setHits(found.slice(0, HITS_SHOWN)))
      .catch(error => isLate || windowStore.get().phase !== 'open' || showFailure(error))
    return () => {
      isLate = true
    }
  }, [clean, choice])
  return offersOf(clean, hits)
}

function offersOf(clean: string, hits: readonly FindHit[]): readonly Offer[] {
  const place = parsePlace(clean)
  const typed: FindHit[] =
    place === null
      ? []
      : [
          {
            label: formatPlace(place, 'decimal'),
            kind: 'place',
            layer: null,
            fid: null,
            box: [place[0] - PLACE_REACH, place[1] - PLACE_REACH, place[0] + PLACE_REACH, place[1] + PLACE_REACH],
          },
        ]
  return [
    ...[...typed, ...hits].map(hit => ({
      id: `hit-${hit.kind}-${hit.layer ?? ''}-${hit.fid ?? hit.label}`,
      label: hit.label,
      hint: hit.kind,
      hit,
    })),
    ...findCommands(clean).map(command => ({
      id: `do-${command.id}`,
      label: command.label,
      hint: command.keys ?? '',
      command,
    })),
  ]
}
