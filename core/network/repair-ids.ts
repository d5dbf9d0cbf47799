import type { RepairAction } from '../model/index.ts'

/** A place as repairs name it: to a decimetre, so that the last digits of a mean do not matter. */
export function placeKey(longitude: number, latitude: number): string {
  const digits = (value: number) => (Math.round(value * 1e6) / 1e6 + 0).toFixed(6)
  return `@${digits(longitude)},${digits(latitude)}`
}

/** `turn` says which way the flow is to run along its line as drawn. */
export type RepairVerb = Exclude<RepairAction, 'turn'> | 'turn-with' | 'turn-against'

/** The id of a repair: what it does, to which lines, where. Lines by their own ids, in the order given. */
export const repairId = (verb: RepairVerb, lines: readonly string[], longitude: number, latitude: number): string =>
  `${verb}:${lines.join('+')}${placeKey(longitude, latitude)}`

/** Ids of accepted repairs of one kind, with the places in them for a quick look. */
export class AcceptedIds {
  readonly ids = new Set<string>()
  readonly #places = new Set<string>()

  constructor(accepted: Iterable<string>, verbs: readonly RepairVerb[]) {
    for (const id of accepted) {
      if (!verbs.some(verb => id.startsWith(`${verb}:`))) continue
      this.ids.add(id)
      this.#places.add(id.slice(id.lastIndexOf('@')))
    }
  }

  get isEmpty(): boolean {
    return this.ids.size === 0
  }

  isAt(longitude: number, latitude: number): boolean {
    return this.#places.has(placeKey(longitude, latitude))
  }
}
