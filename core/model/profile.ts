import type { Interval } from './patch.ts'

/** A number of the profile with where it comes from. */
export interface Sourced<T> {
  readonly value: T
  readonly source: string
}

/** What the program needs to know of a species; data, editable, shown with its sources. */
export interface SpeciesProfile {
  readonly id: string
  readonly name: string
  /** Metres a season that stem growth alone can bridge, and metres a day. */
  readonly stemGrowthSeason: Sourced<number>
  readonly stemGrowthDay: Sourced<number>
  /** Retention length in metres for ordinary flow and for flood, with the range of the draws. */
  readonly retention: {
    readonly ordinary: Sourced<number>
    readonly flood: Sourced<number>
    /** Of reaches through lakes, in ordinary flow and in flood. */
    readonly lake?: Sourced<number>
  }
  readonly retentionRange: { readonly ordinary: Interval; readonly flood: Interval }
  /** Propagules a square metre infested. */
  readonly propagules: Sourced<number>
  readonly propagulesRange: Interval
  /** Establishment chance a propagule. */
  readonly establishment: Sourced<number>
  readonly establishmentRange: Interval
}
