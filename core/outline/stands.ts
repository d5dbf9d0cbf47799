import type { Find, Patch, PlainDate } from '../model/index.ts'
import { discsOfFinds } from './discs.ts'

/** One place of a patch with the reports behind it. */
export interface Stand {
  /** Working frame, metres. */
  readonly x: number
  readonly y: number
  readonly radius: number
  /** Newest first. */
  readonly reportIds: readonly string[]
  readonly firstSeen: PlainDate
  readonly lastSeen: PlainDate
  /** Whether the radius comes from a stated size of any of the reports. */
  readonly isMeasured: boolean
  readonly isConfirmed: boolean
  /** Of the newest report with a known cover, 0-1; null where none has one. */
  readonly cover: number | null
}

/** The reports behind a patch, gathered by place: finds of one disc within 1 mm are one stand. In the order of x, y, radius. */
export function standsOfPatch(patch: Patch, finds: readonly Find[]): Stand[] {
  const own = new Set(patch.reportIds)
  return discsOfFinds(finds.filter(find => own.has(find.reportId))).map(({ x, y, radius, finds: reports }) => ({
    x,
    y,
    radius,
    reportIds: reports.map(find => find.reportId),
    firstSeen: reports.at(-1)!.date,
    lastSeen: reports[0]!.date,
    isMeasured: reports.some(find => find.isMeasured),
    isConfirmed: reports.some(find => find.isConfirmed),
    cover: reports.find(find => find.cover !== null)?.cover ?? null,
  }))
}
