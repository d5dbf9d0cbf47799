import type { Answer, Chart, Figure } from '../model/answer.ts'
import type { VetSettings } from '../model/brief.ts'
import type { PlainDate } from '../model/date.ts'
import type { Phrase, Quantity } from '../model/quantity.ts'
import type { Report } from '../model/report.ts'
import type { Admission, Finding } from '../model/vetting.ts'
import { RULE_IDS, RULES } from './vet-context.ts'

export interface VetDescriptionInput {
  readonly reports: readonly Report[]
  readonly findings: readonly Finding[]
  readonly admissions: readonly Admission[]
  /** Rows that could not become reports at all. */
  readonly rejectedRows: number
  readonly settings: VetSettings
  readonly dataDate: PlainDate
  readonly hasBoundary: boolean
}

/** Why a report is held back that no rule blocks. */
const STATUS_TITLES: Readonly<Record<string, string>> = {
  rejected: 'Rejected by a person',
  held: 'Held by a person',
  unchecked: 'Not yet checked',
}

/** The answer to which reports can be trusted: how many count, what holds the rest back, and what was found on all. */
export function describeVet(input: VetDescriptionInput): Answer {
  const admitted = input.admissions.filter(entry => entry.isAdmitted).length
  const back = input.admissions.length - admitted
  return {
    headline: headline(admitted, input.admissions.length, back),
    footing: footing(input),
    figures: figures(input, admitted),
    chart: findingsChart(input.findings),
    cannotConclude: doubts(input, admitted),
  }
}

const count = (value: number, noun?: readonly [string, string]): Quantity => ({
  kind: 'count',
  value,
  ...(noun && { noun }),
})
const REPORTS = ['report', 'reports'] as const
const ROWS = ['row', 'rows'] as const

function headline(admitted: number, all: number, back: number): Phrase {
  if (all === 0) return ['There are no reports yet.']
  if (back === 0) return ['All ', count(all, REPORTS), all === 1 ? ' counts.' : ' count.']
  const counting = admitted === 1 ? ' counts; ' : ' count; '
  return [
    count(admitted),
    ' of ',
    count(all, REPORTS),
    counting,
    count(back),
    back === 1 ? ' is held back.' : ' are held back.',
  ]
}

function footing({ reports, settings, dataDate }: VetDescriptionInput): Phrase {
  const accepted = reports.filter(report => report.status === 'accepted').length
  const rule =
    settings.admit === 'accepted'
      ? 'Only reports that a person accepted count'
      : 'Reports that nobody has checked count unless a finding blocks them'
  return [`${rule}; `, count(accepted, REPORTS), ` accepted so far. The data end on ${dataDate}.`]
}

function figures({ findings, admissions, rejectedRows, settings }: VetDescriptionInput, admitted: number): Figure[] {
  const setting = { label: 'Reports that count', quantity: { kind: 'text', value: settings.admit } as const }
  const idsBy = new Map<string, string[]>()
  for (const { reason, reportId } of admissions) {
    if (reason === null) continue
    const ids = idsBy.get(reason)
    if (ids) ids.push(reportId)
    else idsBy.set(reason, [reportId])
  }
  const order = [...new Set<string>(RULE_IDS), 'held', 'rejected', 'unchecked']
  const held = order.flatMap((reason): Figure[] => {
    const ids = idsBy.get(reason)
    if (!ids) return []
    const formula = findings.find(finding => finding.rule === reason)?.reason ?? 'The status of the report.'
    const selection = { layer: 'finds', ids }
    return [
      {
        id: `held-back-${reason}`,
        label: titleOf(reason),
        quantity: count(ids.length, REPORTS),
        why: { formula: `For example: ${formula}`, settings: [setting], selection },
      },
    ]
  })
  const doubted = new Set(findings.filter(finding => finding.severity === 'doubt').map(finding => finding.reportId))
  return [
    { id: 'admitted', label: 'Reports that count', quantity: count(admitted, REPORTS) },
    ...held,
    { id: 'doubted', label: 'With a doubt', quantity: count(doubted.size, REPORTS) },
    { id: 'rejected-rows', label: 'Rows that could not be read', quantity: count(rejectedRows, ROWS) },
  ]
}

function titleOf(reason: string): string {
  const rule = RULE_IDS.find(id => id === reason)
  return rule === undefined ? (STATUS_TITLES[reason] ?? reason) : RULES[rule].title
}

/** Findings a rule, in the order of the rules. */
function findingsChart(findings: readonly Finding[]): Chart | null {
  const counts = new Map<string, number>()
  for (const { rule } of findings) counts.set(rule, (counts.get(rule) ?? 0) + 1)
  const present = RULE_IDS.filter(id => counts.has(id))
  if (present.length === 0) return null
  const points = present.map((id, x) => ({ label: RULES[id].title, x, y: counts.get(id)! }))
  return {
    title: 'Findings by rule',
    kind: 'bars',
    yKind: 'count',
    points,
    fit: null,
    note: ['One report may have several findings.'],
  }
}

function doubts({ hasBoundary, rejectedRows }: VetDescriptionInput, admitted: number): Phrase[] {
  const phrases: Phrase[] = []
  if (admitted === 0)
    phrases.push(['Nothing can be concluded from no reports: accept some, or let unchecked ones count.'])
  if (!hasBoundary)
    phrases.push(['Whether reports lie inside the programme’s area cannot be told without its boundary.'])
  if (rejectedRows > 0) {
    phrases.push(['What ', count(rejectedRows, ROWS), ' said is not known: mend them in the file and read it again.'])
  }
  return phrases
}
