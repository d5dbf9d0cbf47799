import type { ReachLine, RepairDecision, Task } from '../model/index.ts'
import { GAP_REACH, type MadeRepair } from './network-draft.ts'
import {
  NearPaths,
  NO_CONTACTS,
  type PathContacts,
  type PathField,
  pickContacts,
  positionOnPath,
  writeContacts,
} from './path-contacts.ts'
import type { ReachPieces } from './reach-pieces.ts'
import { AcceptedIds, type RepairVerb, repairId } from './repair-ids.ts'

/** What accepted repairs do while a network is built. */
export class AcceptedRepairs {
  readonly made: MadeRepair[] = []
  readonly #field: PathField
  readonly #describe: (line: number) => ReachLine
  readonly #accepted: ReadonlySet<string>

  constructor(field: PathField, describe: (line: number) => ReachLine, decisions: readonly RepairDecision[]) {
    this.#field = field
    this.#describe = describe
    this.#accepted = new Set(decisions.filter(({ isAccepted }) => isAccepted).map(({ id }) => id))
  }

  get isEmpty(): boolean {
    return this.#accepted.size === 0
  }

  #idsOf(...verbs: RepairVerb[]): AcceptedIds {
    return new AcceptedIds(this.#accepted, verbs)
  }

  #lineOf(path: number): string {
    return this.#describe(this.#field.paths.line[path]!).id
  }

  #note(
    made: Pick<MadeRepair, 'id' | 'action' | 'longitude' | 'latitude' | 'proposal'>,
    path: number,
    node = -1,
  ): void {
    if (this.made.some(({ id }) => id === made.id)) return
    this.made.push({ ...made, path, node, problem: null, evidence: 'It was accepted.', decision: 'accepted' })
  }

  /** Contacts that bridge accepted gaps: an end of one path and the nearest place of the other. */
  bridges(): PathContacts {
    const ids = this.#idsOf('bridge')
    if (ids.isEmpty) return NO_CONTACTS
    const { coords, offsets, pathCount } = this.#field.paths
    const near = new NearPaths(this.#field)
    return writeContacts(add => {
      for (let path = 0; path < pathCount; path++) {
        for (const end of [offsets[path]!, offsets[path + 1]! - 1]) {
          const [x, y] = [coords[2 * end]!, coords[2 * end + 1]!]
          if (!ids.isAt(x, y)) continue
          near.find(x, y, GAP_REACH)
          for (let i = 0; i < near.count; i++) {
            const other = near.path[i]!
            const id = repairId('bridge', [this.#lineOf(path), this.#lineOf(other)], x, y)
            if (other === path || !ids.ids.has(id)) continue
            add(false, path, end, other, near.place[i]!)
            const proposal = `Line ${this.#lineOf(path)} is joined to line ${this.#lineOf(other)}.`
            this.#note({ id, action: 'bridge', longitude: x, latitude: y, proposal }, path)
          }
        }
      }
    })
  }

  /** Those of the contacts that were accepted as nodes, and the others. */
  splitNodes(contacts: PathContacts): { noded: PathContacts; left: PathContacts } {
    const ids = this.#idsOf('node')
    if (ids.isEmpty) return { noded: NO_CONTACTS, left: contacts }
    const [noded, left]: [number[], number[]] = [[], []]
    for (let i = 0; i < contacts.count; i++) {
      const [x, y] = positionOnPath(this.#field.paths.coords, contacts.placeB[i]!)
      const pair = [this.#lineOf(contacts.a[i]!), this.#lineOf(contacts.b[i]!)].sort()
      const id = repairId('node', pair, x, y)
      const isAccepted = ids.ids.has(id)
      ;(isAccepted ? noded : left).push(i)
      if (!isAccepted) continue
      const proposal = `Lines ${pair.join(' and ')} meet here in a node.`
      this.#note({ id, action: 'node', longitude: x, latitude: y, proposal }, contacts.b[i]!)
    }
    return { noded: pickContacts(contacts, noded), left: pickContacts(contacts, left) }
  }

  /** By path: 1 where the flow was accepted to run with the line as drawn, 2 against it, 0 where nothing was said. */
  turns(): Uint8Array {
    const { coords, offsets, pathCount } = this.#field.paths
    const turns = new Uint8Array(pathCount)
    const ids = this.#idsOf('turn-with', 'turn-against')
    for (let path = 0; path < pathCount && !ids.isEmpty; path++) {
      const [x, y] = [coords[2 * offsets[path]!]!, coords[2 * offsets[path]! + 1]!]
      if (!ids.isAt(x, y)) continue
      for (const [verb, code] of [
        ['turn-with', 1],
        ['turn-against', 2],
      ] as const) {
        const id = repairId(verb, [this.#lineOf(path)], x, y)
        if (!ids.ids.has(id)) continue
        turns[path] = code
        const proposal = `The flow of line ${this.#lineOf(path)} runs ${verb.slice(5)} its digitised order.`
        this.#note({ id, action: 'turn', longitude: x, latitude: y, proposal }, path)
      }
    }
    return turns
  }

  /** Marks the nodes that were accepted as outlets. */
  markOutlets(pieces: ReachPieces, isOutlet: Uint8Array): void {
    const ids = this.#idsOf('mark_outlet')
    for (let v = 0; v < pieces.nodeCount && !ids.isEmpty; v++) {
      const [x, y] = [pieces.nodePosition[2 * v]!, pieces.nodePosition[2 * v + 1]!]
      const id = repairId('mark_outlet', [], x, y)
      if (!ids.ids.has(id)) continue
      isOutlet[v] = 1
      this.#note({ id, action: 'mark_outlet', longitude: x, latitude: y, proposal: 'This end is an outlet.' }, -1, v)
    }
  }

  /** Warns of accepted repairs whose place was not found. */
  warnOfMissing(task: Task): void {
    const made = new Set(this.made.map(({ id }) => id))
    const missing = [...this.#accepted].filter(id => !made.has(id))
    if (missing.length === 0) return
    const listed = missing.slice(0, 3).join(', ')
    const more = missing.length > 3 ? ` and ${missing.length - 3} more` : ''
    task.warn(
      'network-repair-missing',
      `Accepted repairs fit nothing in these lines and were not made: ${listed}${more}.`,
    )
  }
}
