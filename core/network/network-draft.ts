import type { NetworkProblem, NetworkRepair, ReachNetwork } from '../model/index.ts'
import type { FlowDirection } from './flow-direction.ts'
import type { PathContacts, PathField } from './path-contacts.ts'
import type { ReachPieces } from './reach-pieces.ts'

/** A dead end this near to another line, but beyond the snap distance, is a gap. Common practice, no source. */
export const GAP_REACH = 25

/** A network before its problems are told, with what the building of it knows. */
export interface NetworkDraft {
  readonly network: Omit<ReachNetwork, 'problem' | 'problems' | 'repairs'>
  readonly pieces: ReachPieces
  readonly field: PathField
  readonly snap: number
  readonly isLoop: Uint8Array
  readonly direction: FlowDirection
  /** Crossings and touches that were not made nodes. */
  readonly unnoded: PathContacts
}

/** What would mend a problem. */
export type Mend = Pick<NetworkRepair, 'action' | 'id' | 'proposal'>

/** A problem with what would mend it; null where nothing plain would. */
export interface FoundProblem {
  readonly problem: NetworkProblem
  readonly mend: Mend | null
}

/** A repair that was made: for the list, before its reaches are known. */
export interface MadeRepair extends Omit<NetworkRepair, 'reaches'> {
  /** The path that it is about, or -1 and the node. */
  readonly path: number
  readonly node: number
}
