import type { OutlineSettings } from '../../model/brief.ts'
import { accuracyAt95, type Report } from '../../model/report.ts'
import type { RuleFinding, VetInput } from '../vet-context.ts'

/** The largest size where no setting says otherwise, square metres (10 ha). Common practice, no source. */
const LARGEST_SIZE = 100_000
/** Fewer decimals of a degree than this leave more than about 11 m open. */
const ENOUGH_DECIMALS = 4

/** Position accuracy, cut coordinates, sizes beyond all measure, and cover or size that contradict the rest of the report. */
export function findValueFaults({ reports, outline }: VetInput): RuleFinding[] {
  const findings: RuleFinding[] = []
  for (const report of reports) {
    const decimals = Math.max(decimalsOf(report.longitude), decimalsOf(report.latitude))
    const isNought = report.longitude === 0 && report.latitude === 0
    if (decimals < ENOUGH_DECIMALS && !isNought) {
      const metres = Math.round(111_320 * 10 ** -decimals)
      const reason = `The coordinates have ${decimals} decimals: the place is known to about ${metres} m.`
      findings.push({ report, rule: 'truncated-coordinates', reason })
    }
    const accuracy = accuracyFinding(report, outline)
    if (accuracy) findings.push(accuracy)
    const tooLarge = findSizeFault(report, outline.largestSize ?? LARGEST_SIZE)
    if (tooLarge) findings.push({ report, rule: 'size', reason: tooLarge })
    const contradiction = findContradiction(report)
    if (contradiction) findings.push({ report, rule: 'cover-size', reason: contradiction })
  }
  return findings
}

/** Decimals in the shortest text of a number. */
function decimalsOf(value: number): number {
  const text = String(value)
  if (text.includes('e')) return 20
  const point = text.indexOf('.')
  return point < 0 ? 0 : text.length - point - 1
}

function accuracyFinding(report: Report, outline: OutlineSettings): RuleFinding | undefined {
  const radius = accuracyAt95(report)
  if (report.accuracy === null) {
    const reason = `No position accuracy: it counts as ${radius} m, and never makes a parcel infested.`
    return { report, rule: 'accuracy-missing', reason }
  }
  if (!report.isFound || radius <= outline.accuracyLimit) return undefined
  const reason = `The position is good to ${Math.round(radius)} m (95 %), over the limit of ${outline.accuracyLimit} m: it adds no area.`
  return { report, rule: 'accuracy-over-limit', reason }
}

/** Nobody surveys more than this at one stop: the number is a slip, in another unit, or a whole property. */
function findSizeFault({ isFound, size }: Report, largest: number): string | undefined {
  if (!isFound || size === null || size <= largest) return undefined
  return `A patch of ${size} m² is stated, more than one report can mean (${largest} m²).`
}

function findContradiction(report: Report): string | undefined {
  const { isFound, cover, size, extent } = report
  if (!isFound && size !== null && size > 0) return `Not found, yet a patch of ${size} m² is stated.`
  if (!isFound && cover !== null && cover > 0) return `Not found, yet a cover of "${report.coverClass}" is stated.`
  if (isFound && cover === 0) return 'Found, yet the cover is stated as nothing.'
  if (!isFound || size === null) return undefined
  if (extent === null || size <= Math.PI * extent ** 2) return undefined
  return `A patch of ${size} m² is stated where only a circle of ${extent} m was looked at.`
}
