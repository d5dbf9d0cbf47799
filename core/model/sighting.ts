import type { PlainDate } from './date.ts'
import type { Evidence, Training } from './report.ts'
import type { Metres } from './units.ts'

/** A found report that counts in a season, placed in the working frame. Its support is the disc (x, y, radius). */
export interface Find {
  readonly reportId: string
  readonly season: string
  readonly date: PlainDate
  /** Working frame, metres. */
  readonly x: number
  readonly y: number
  readonly radius: Metres
  /** Whether the radius comes from a stated size or is the default one. */
  readonly isMeasured: boolean
  /** Radius that holds the true position with 95 %. */
  readonly accuracy95: Metres
  /** False for a position worse than the accuracy limit: drawn as a dashed circle, adds no area. */
  readonly makesArea: boolean
  /** Whether its accuracy was given; without one a find never makes a parcel infested. */
  readonly hasAccuracy: boolean
  /** Midpoint of the cover class, 0-1, or null. */
  readonly cover: number | null
  readonly isConfirmed: boolean
}

/** A look in the detectable window, found or not, with the disc of ground it searched. */
export interface Visit {
  readonly reportId: string
  readonly season: string
  readonly date: PlainDate
  readonly x: number
  readonly y: number
  /** Radius of the ground searched: the report's own extent, else the search radius (25 m). */
  readonly extent: Metres
  readonly hasExtent: boolean
  readonly isFound: boolean
  readonly evidence: Evidence
  readonly training: Training
  readonly recorder: string | null
}

/** What counts in one season: admitted reports, as finds and as visits, in the order of report id. */
export interface SeasonSightings {
  readonly season: string
  readonly finds: readonly Find[]
  readonly visits: readonly Visit[]
}
