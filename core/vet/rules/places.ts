import { measureDistance } from '../../geo/index.ts'
import type { Box, MultiPolygon } from '../../model/geometry.ts'
import { accuracyAt95, type Report } from '../../model/report.ts'
import type { RuleFinding, VetInput } from '../vet-context.ts'
import { createInsideTest } from './inside-test.ts'
import { distanceToRings } from './ring-distance.ts'

/** Farther outside the boundary than this, metres, a report is blocked. Common practice, no source. */
const FAR_OUTSIDE = 10_000
/** Without a boundary: farther from the middle of all reports than this, metres ... Common practice, no source. */
const FAR_FROM_OTHERS = 50_000
/** ... and than so many times the distance within which nine of ten reports lie. */
const FAR_TIMES = 10
/** Degrees within which a coordinate counts as nought: 0.0001 degree is 11 m. */
const NOUGHT = 1e-4

/** Reports whose place cannot be right, or lies outside the programme's boundary. */
export function findPlaceFaults({ reports, boundary }: VetInput): RuleFinding[] {
  const isBounded = boundary !== null && boundary.length > 0
  const isHome = isBounded ? createInsideTest(boundary) : createBoxTest(othersBox(reports))
  const middle = isBounded ? undefined : middleOf(reports)
  const findings: RuleFinding[] = []
  for (const report of reports) {
    if (isHome(report.longitude, report.latitude)) continue
    const slip = findSlip(report, isHome)
    if (slip) findings.push(slip)
    else if (isBounded) findings.push(...outsideFinding(report, boundary))
    else if (middle) findings.push(...farFinding(report, middle))
  }
  return findings
}

type PlaceTest = (longitude: number, latitude: number) => boolean

/** A slip of the hand that explains the place: zeros, swapped axes, a lost minus sign. */
function findSlip(report: Report, isHome: PlaceTest): RuleFinding | undefined {
  const { longitude, latitude } = report
  const place = `longitude ${longitude}, latitude ${latitude}`
  const [isZeroX, isZeroY] = [Math.abs(longitude) < NOUGHT, Math.abs(latitude) < NOUGHT]
  if (isZeroX || isZeroY) {
    return { report, rule: 'zero-coordinates', reason: `A coordinate is nought (${place}), as where none was taken.` }
  }
  if (isHome(latitude, longitude)) {
    const reason = `At ${place} it lies outside; with the two swapped it lies among the others.`
    return { report, rule: 'swapped-coordinates', reason }
  }
  const flips = [
    [-longitude, latitude],
    [longitude, -latitude],
    [-longitude, -latitude],
  ] as const
  if (!flips.some(([x, y]) => isHome(x, y))) return undefined
  const reason = `At ${place} it lies outside; with the other sign it lies among the others.`
  return { report, rule: 'sign-lost', reason }
}

function outsideFinding(report: Report, boundary: MultiPolygon): RuleFinding[] {
  const distance = distanceToRings(boundary, report.longitude, report.latitude)
  if (distance <= accuracyAt95(report)) return []
  const shown = distance < 1000 ? `${Math.round(distance)} m` : `${(distance / 1000).toFixed(1)} km`
  const rule = distance > FAR_OUTSIDE ? 'outside-boundary-far' : 'outside-boundary'
  return [{ report, rule, reason: `It lies ${shown} outside the boundary.` }]
}

interface Middle {
  readonly longitude: number
  readonly latitude: number
  readonly limit: number
}

function farFinding(report: Report, middle: Middle): RuleFinding[] {
  const distance = measureDistance(report.longitude, report.latitude, middle.longitude, middle.latitude)
  if (distance <= middle.limit) return []
  const reason = `It lies ${Math.round(distance / 1000)} km from the middle of all reports.`
  return [{ report, rule: 'far-from-others', reason }]
}

function middleOf(reports: readonly Report[]): Middle | undefined {
  if (reports.length < 3) return undefined
  const longitude = quantile(
    reports.map(report => report.longitude),
    0.5,
  )
  const latitude = quantile(
    reports.map(report => report.latitude),
    0.5,
  )
  const distances = reports.map(report => measureDistance(report.longitude, report.latitude, longitude, latitude))
  return { longitude, latitude, limit: Math.max(FAR_FROM_OTHERS, FAR_TIMES * quantile(distances, 0.9)) }
}

/** Where nine of ten reports lie, grown on each side by its own width and at least 0.1 degree. */
function othersBox(reports: readonly Report[]): Box | undefined {
  if (reports.length < 3) return undefined
  const span = (values: number[]): [number, number] => {
    const [low, high] = [quantile(values, 0.05), quantile(values, 0.95)]
    const margin = Math.max(0.1, high - low)
    return [low - margin, high + margin]
  }
  const [west, east] = span(reports.map(report => report.longitude))
  const [south, north] = span(reports.map(report => report.latitude))
  return [west, south, east, north]
}

/** Without enough others every place may be right. */
function createBoxTest(box: Box | undefined): PlaceTest {
  if (box === undefined) return () => true
  const [west, south, east, north] = box
  return (longitude, latitude) => longitude >= west && longitude <= east && latitude >= south && latitude <= north
}

/** The value that a share of the values does not exceed; NaN for none. */
function quantile(values: number[], share: number): number {
  const sorted = values.sort((a, b) => a - b)
  return sorted[Math.floor(share * (sorted.length - 1))] ?? Number.NaN
}
