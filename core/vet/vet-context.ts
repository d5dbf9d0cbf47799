import type { OutlineSettings } from '../model/brief.ts'
import type { PlainDate } from '../model/date.ts'
import type { MultiPolygon } from '../model/geometry.ts'
import type { Report } from '../model/report.ts'
import type { Season } from '../model/season.ts'
import type { Finding } from '../model/vetting.ts'

/** What the checks are told. */
export interface VetInput {
  readonly reports: readonly Report[]
  readonly seasons: readonly Season[]
  /** The area of the programme, degrees; null where none was given. */
  readonly boundary: MultiPolygon | null
  /** Latest day that the data can speak of. */
  readonly dataDate: PlainDate
  readonly outline: OutlineSettings
}

/** A finding as its rule makes it; the report's id, file and row are added by the caller. */
export interface RuleFinding {
  readonly report: Report
  readonly rule: RuleId
  readonly reason: string
}

/** Every rule: its severity and its name on charts. A blocking finding keeps an unchecked report out of every answer. */
export const RULES = {
  duplicate: { severity: 'blocking', title: 'Duplicate' },
  'zero-coordinates': { severity: 'blocking', title: 'Zero coordinates' },
  'swapped-coordinates': { severity: 'blocking', title: 'Longitude and latitude swapped' },
  'sign-lost': { severity: 'blocking', title: 'Sign of a coordinate lost' },
  'outside-boundary-far': { severity: 'blocking', title: 'Far outside the boundary' },
  'far-from-others': { severity: 'blocking', title: 'Far from all other reports' },
  'future-date': { severity: 'blocking', title: 'Dated in the future' },
  size: { severity: 'blocking', title: 'Size beyond what one report can mean' },
  'outside-seasons': { severity: 'blocking', title: 'Outside every season' },
  'outside-boundary': { severity: 'doubt', title: 'Outside the boundary' },
  'truncated-coordinates': { severity: 'doubt', title: 'Coordinates cut short' },
  'accuracy-over-limit': { severity: 'doubt', title: 'Position too uncertain for area' },
  'cover-size': { severity: 'doubt', title: 'Cover or size contradicts' },
  'near-duplicate': { severity: 'note', title: 'Close to another report' },
  'out-of-window': { severity: 'note', title: 'Not found, out of window' },
  'find-out-of-window': { severity: 'note', title: 'Found out of window' },
  'accuracy-missing': { severity: 'note', title: 'No position accuracy' },
} as const satisfies Readonly<Record<string, { severity: Finding['severity']; title: string }>>

export type RuleId = keyof typeof RULES
export const RULE_IDS = Object.keys(RULES) as readonly RuleId[]

/** File, then row: the order of reports that does not depend on the order in which they are handed in. */
export function compareByRow(a: Pick<Report, 'file' | 'row'>, b: Pick<Report, 'file' | 'row'>): number {
  if (a.file !== b.file) return a.file < b.file ? -1 : 1
  return a.row - b.row
}
