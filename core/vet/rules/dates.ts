import { findSeason, isDetectable } from '../../model/season.ts'
import type { RuleFinding, VetInput } from '../vet-context.ts'

/** Dates after the data's own, dates in no season, and looks outside the window of their evidence. */
export function findDateFaults({ reports, seasons, dataDate }: VetInput): RuleFinding[] {
  const findings: RuleFinding[] = []
  for (const report of reports) {
    const { date, evidence } = report
    if (date > dataDate) {
      findings.push({ report, rule: 'future-date', reason: `Dated ${date}, after the data end on ${dataDate}.` })
      continue
    }
    const season = findSeason(seasons, date)
    if (season === undefined) {
      findings.push({ report, rule: 'outside-seasons', reason: `Dated ${date}, a day that no season holds.` })
      continue
    }
    if (isDetectable(season, evidence, date)) continue
    const [start, end] = season.detectable[evidence] ?? [season.start, season.end]
    const outside = `${date} is outside ${start} to ${end}, when ${evidence} evidence can be seen`
    findings.push(
      report.isFound
        ? { report, rule: 'find-out-of-window', reason: `${outside}; a find counts all the same.` }
        : { report, rule: 'out-of-window', reason: `${outside}; it says nothing as absence.` },
    )
  }
  return findings
}
