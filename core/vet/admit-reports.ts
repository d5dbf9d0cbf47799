import type { VetSettings } from '../model/brief.ts'
import type { Report } from '../model/report.ts'
import type { Admission, Finding } from '../model/vetting.ts'

/**
 * Which reports count: accepted ones always, held and rejected ones never, unchecked ones where the setting lets them in
 * and no finding blocks them. In the order of the reports.
 */
export function admitReports(
  reports: readonly Report[],
  findings: readonly Finding[],
  settings: VetSettings,
): Admission[] {
  const blockedBy = new Map<string, string>()
  for (const finding of findings) {
    if (finding.severity === 'blocking' && !blockedBy.has(finding.reportId))
      blockedBy.set(finding.reportId, finding.rule)
  }
  return reports.map(report => {
    const reason = reasonAgainst(report, blockedBy, settings)
    return { reportId: report.id, isAdmitted: reason === null, reason }
  })
}

function reasonAgainst(report: Report, blockedBy: ReadonlyMap<string, string>, settings: VetSettings): string | null {
  if (report.status === 'accepted') return null
  if (report.status !== 'unchecked') return report.status
  if (settings.admit === 'accepted') return 'unchecked'
  return blockedBy.get(report.id) ?? null
}
