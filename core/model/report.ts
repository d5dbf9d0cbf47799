import type { PlainDate } from './date.ts'
import type { Degrees, Metres, SquareMetres } from './units.ts'

export const EVIDENCE = ['leaf', 'propagule', 'stem'] as const
/** What was seen or looked for. Blank in a file: leaf. */
export type Evidence = (typeof EVIDENCE)[number]

export const TRAINING = ['new', 'trained', 'staff'] as const
export type Training = (typeof TRAINING)[number]

export const REPORT_STATUS = ['unchecked', 'accepted', 'held', 'rejected'] as const
export type ReportStatus = (typeof REPORT_STATUS)[number]

export const CONSENT = ['exact', 'parcel', 'cell', 'withheld'] as const
/** How exactly the place may be shown, finest first. The coarser of this and the audience's level wins. */
export type Consent = (typeof CONSENT)[number]

/** One look at one place on one day: found or not found. */
export interface Report {
  /** Unique in a project: the id of the file, made unique with its file and row where it is blank or repeated. */
  readonly id: string
  /** File as named in the brief, and row in it (a CSV's header is row 1). */
  readonly file: string
  readonly row: number
  readonly date: PlainDate
  readonly longitude: Degrees
  readonly latitude: Degrees
  readonly isFound: boolean
  readonly evidence: Evidence
  /** Cover class as written, and its midpoint (0-1) by the named class table; null where unknown. */
  readonly coverClass: string | null
  readonly cover: number | null
  /** Stated or measured size of the patch seen; null where none was given. */
  readonly size: SquareMetres | null
  /** Position accuracy as given, and the share of positions it is meant to hold (0.5, 0.68, 0.95); null where missing. */
  readonly accuracy: Metres | null
  readonly accuracyLevel: number | null
  /** Radius of the ground that was looked at; null where none was given. */
  readonly extent: Metres | null
  readonly recorder: string | null
  readonly training: Training
  readonly confirmedBy: string | null
  readonly status: ReportStatus
  readonly consent: Consent
  readonly notes: string | null
}

/**
 * Radius of the circle that holds the true position with 95 %.
 * A device's own figure is read as a 68 % radius unless the level says otherwise; a missing one counts as 30 m at 95 %.
 * Source: factors of the circular normal, sqrt(ln 0.05 / ln(1 - level)); default common practice, no source.
 */
export function accuracyAt95(report: Pick<Report, 'accuracy' | 'accuracyLevel'>): Metres {
  if (report.accuracy === null) return 30 as Metres
  const level = report.accuracyLevel ?? 0.68
  return (report.accuracy * factorTo95(level)) as Metres
}

/** How much wider the 95 % radius is than the radius that holds `level` of the positions (circular normal). */
export function factorTo95(level: number): number {
  return Math.sqrt(Math.log(1 - 0.95) / Math.log(1 - level))
}
