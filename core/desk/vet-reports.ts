import type {
  Admission,
  Brief,
  Finding,
  MultiPolygon,
  PlainDate,
  Report,
  Season,
  SeasonSightings,
} from '../model/index.ts'
import { calendarSeasons, InputError, type Problem } from '../model/index.ts'
import { admitReports, checkReports, estimateDataDate, placeSightings, RULES, type RuleId } from '../vet/index.ts'
import { type GeoTools, prepareTools } from './tools.ts'

/** Which reports count, in which season and where. */
export interface Vetted {
  readonly seasons: readonly Season[]
  readonly dataDate: PlainDate
  readonly findings: readonly Finding[]
  readonly admissions: readonly Admission[]
  readonly sightings: readonly SeasonSightings[]
  readonly tools: GeoTools
}

/**
 * Checks, admits and places reports. `tools` stand in for a frame of the reports' own; `rejected` are the rows that did not
 * become reports.
 * Errors: InputError `no-report-counts`, with every refused row and held-back report, where nothing is left to place;
 * `frame-too-wide` and `frame-crs` of the working frame.
 */
export async function vetReports(
  brief: Brief,
  reports: readonly Report[],
  boundary: MultiPolygon | null,
  given: { readonly tools?: GeoTools; readonly rejected?: readonly Problem[] } = {},
): Promise<Vetted> {
  const seasons = brief.seasons.length > 0 ? brief.seasons : calendarSeasons(reports.map(report => report.date))
  const dataDate = estimateDataDate(reports, seasons)
  const findings = checkReports({ reports, seasons, boundary, dataDate, outline: brief.outline })
  const admissions = admitReports(reports, findings, brief.vet)
  // A report that a person accepted at an impossible place still must not stretch the frame over half the globe.
  // An accepted size beyond all measure must not pass the frame's limit unseen: it is no fault of the place.
  const isMisplaced = ({ severity, rule }: Finding) => severity === 'blocking' && rule !== 'size'
  const blocked = new Set(findings.filter(isMisplaced).map(finding => finding.reportId))
  const isPlaced = ({ reportId, isAdmitted }: Admission) => isAdmitted && !blocked.has(reportId)
  const placed = new Set(admissions.filter(isPlaced).map(entry => entry.reportId))
  if (given.tools === undefined && placed.size === 0) throw noReportCounts(findings, admissions, given.rejected ?? [])
  const tools = given.tools ?? (await prepareTools(brief, reports.filter(placedIn(placed))))
  const sightings = placeSightings({ reports, admissions, seasons, frame: tools.frame, outline: brief.outline })
  return { seasons, dataDate, findings, admissions, sightings, tools }
}

const placedIn = (placed: ReadonlySet<string>) => (report: Report) => placed.has(report.id)

/** Why nothing is left to work on, with every refused row and every report that a check holds back. */
function noReportCounts(
  findings: readonly Finding[],
  admissions: readonly Admission[],
  rejected: readonly Problem[],
): InputError {
  const code = 'no-report-counts'
  if (admissions.length === 0) {
    const rows = rejected.length
    const reason =
      rows === 0
        ? 'The report files hold no row below their headers'
        : `There is no report: ${rows === 1 ? 'the only row was' : `all ${rows} rows were`} refused`
    const remedy = rows === 0 ? 'Give files with reports.' : 'Mend the rows that are listed.'
    return new InputError({ code, field: 'layers.reports', reason, remedy }, rejected)
  }
  const counts = new Map<string, number>()
  for (const { reason } of admissions) if (reason !== null) counts.set(reason, (counts.get(reason) ?? 0) + 1)
  const why = [...counts].map(([rule, count]) => `${count} ${titleOf(rule)}`).join(', ')
  const only = admissions.length === 1
  const reason = `${only ? 'The only report does not count' : `None of the ${admissions.length} reports counts`}: ${why}`
  const remedy = 'Mend what is listed, or change "seasons", "layers.boundary" or "vet.admit" in the brief.'
  const held = findings.filter(finding => finding.severity === 'blocking').map(heldBackProblem)
  return new InputError({ code, field: 'layers.reports', reason, remedy }, [...rejected, ...held])
}

/** The name of a rule, or of a status, inside a sentence. */
function titleOf(rule: string): string {
  const title = Object.hasOwn(RULES, rule) ? RULES[rule as RuleId].title : rule === 'unchecked' ? 'not accepted' : rule
  return title.charAt(0).toLowerCase() + title.slice(1)
}

/** A blocking finding as a problem of its row. */
export const heldBackProblem = ({ file, row, rule, reason }: Finding): Problem => ({
  code: `held-${rule}`,
  file,
  row,
  ...(rule === 'size' ? { field: 'size_m2' } : {}),
  reason: `Held back. ${reason}`,
})
