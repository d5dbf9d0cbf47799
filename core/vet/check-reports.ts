import type { Finding } from '../model/vetting.ts'
import { findDateFaults } from './rules/dates.ts'
import { findDuplicates } from './rules/duplicates.ts'
import { findPlaceFaults } from './rules/places.ts'
import { findValueFaults } from './rules/values.ts'
import { compareByRow, RULE_IDS, RULES, type VetInput } from './vet-context.ts'

/**
 * All findings on the reports, by file, row and rule; the order of the reports handed in does not matter.
 * Accuracy and cost: about linear in the reports; outside the boundary also in its vertices.
 */
export function checkReports(input: VetInput): Finding[] {
  const found = [
    ...findPlaceFaults(input),
    ...findDateFaults(input),
    ...findDuplicates(input.reports),
    ...findValueFaults(input),
  ]
  found.sort((a, b) => compareByRow(a.report, b.report) || RULE_IDS.indexOf(a.rule) - RULE_IDS.indexOf(b.rule))
  return found.map(({ report, rule, reason }) => ({
    reportId: report.id,
    file: report.file,
    row: report.row,
    // How far outside is a matter of severity, not of another rule.
    rule: rule === 'outside-boundary-far' ? 'outside-boundary' : rule,
    severity: RULES[rule].severity,
    reason,
  }))
}
