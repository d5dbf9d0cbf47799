import type { Report } from '../../model/report.ts'
import { compareByRow, type RuleFinding } from '../vet-context.ts'

/** Same recorder, day and place within this, metres: the same look twice. Common practice, no source. */
const SAME_PLACE = 1
/** Reports of one day this close are worth a note, metres. Common practice, no source. */
const NEAR_PLACE = 10

/**
 * Later copies of a report (same recorder, day, evidence and answer within 1 m), and reports of one day within 10 m of each other.
 * Cost: linear in the reports where few share a place.
 */
export function findDuplicates(reports: readonly Report[]): RuleFinding[] {
  const findings: RuleFinding[] = []
  const cells = new Map<string, Placed[]>()
  for (const report of [...reports].sort(compareByRow)) {
    const placed = placeOf(report)
    const earlier = nearest(cells, placed)
    if (earlier?.isCopy) {
      const reason = `Same recorder, day and place (${earlier.distance.toFixed(1)} m) as row ${earlier.report.row} of ${earlier.report.file}.`
      findings.push({ report, rule: 'duplicate', reason })
      // A copy is not kept: copies are named after the first one.
      continue
    }
    if (earlier) {
      const differs = earlier.report.isFound !== report.isFound ? ' (one found, one not)' : ''
      const reason = `${earlier.distance.toFixed(1)} m from row ${earlier.report.row} of ${earlier.report.file} on the same day${differs}.`
      findings.push({ report, rule: 'near-duplicate', reason })
    }
    const key = keyOf(report, placed.cell)
    const cell = cells.get(key)
    if (cell) cell.push(placed)
    else cells.set(key, [placed])
  }
  return findings
}

interface Placed {
  readonly report: Report
  readonly at: readonly [number, number, number]
  readonly cell: readonly [number, number, number]
}

const keyOf = (report: Report, cell: readonly [number, number, number]): string =>
  `${report.date} ${cell[0]} ${cell[1]} ${cell[2]}`

/**
 * Earth-centred coordinates, so that straight distances of a few metres are distances on the ellipsoid everywhere.
 * Source: WGS 84, a = 6378137 m, 1/f = 298.257223563 (NGA.STND.0036, table 3.1).
 */
function placeOf(report: Report): Placed {
  const [lambda, phi] = [(report.longitude * Math.PI) / 180, (report.latitude * Math.PI) / 180]
  const flattening = 1 / 298.257223563
  const e2 = flattening * (2 - flattening)
  const n = 6378137 / Math.sqrt(1 - e2 * Math.sin(phi) ** 2)
  const at = [
    n * Math.cos(phi) * Math.cos(lambda),
    n * Math.cos(phi) * Math.sin(lambda),
    n * (1 - e2) * Math.sin(phi),
  ] as const
  const cellOf = (value: number) => Math.floor(value / NEAR_PLACE)
  return { report, at, cell: [cellOf(at[0]), cellOf(at[1]), cellOf(at[2])] }
}

interface Neighbour {
  readonly report: Report
  readonly distance: number
  readonly isCopy: boolean
}

/** A report that this one copies, else the nearest of the same day within the near distance. */
function nearest(cells: ReadonlyMap<string, readonly Placed[]>, placed: Placed): Neighbour | undefined {
  let best: Neighbour | undefined
  for (const candidate of around(cells, placed)) {
    const [dx, dy, dz] = [0, 1, 2].map(i => candidate.at[i]! - placed.at[i]!)
    const distance = Math.hypot(dx!, dy!, dz!)
    if (distance > NEAR_PLACE) continue
    const isCopy = distance <= SAME_PLACE && isSameLook(candidate.report, placed.report, distance)
    if (isCopy) return { report: candidate.report, distance, isCopy }
    if (best === undefined || distance < best.distance) best = { report: candidate.report, distance, isCopy }
  }
  return best
}

function* around(cells: ReadonlyMap<string, readonly Placed[]>, { report, cell }: Placed): Generator<Placed> {
  for (let x = -1; x <= 1; x++) {
    for (let y = -1; y <= 1; y++) {
      for (let z = -1; z <= 1; z++) yield* cells.get(keyOf(report, [cell[0] + x, cell[1] + y, cell[2] + z])) ?? []
    }
  }
}

/** Without a recorder on both, only a copy in place, size and cover is the same look. */
function isSameLook(a: Report, b: Report, distance: number): boolean {
  if (a.isFound !== b.isFound || a.evidence !== b.evidence) return false
  if (a.recorder !== null || b.recorder !== null) return sameName(a.recorder) === sameName(b.recorder)
  return distance === 0 && a.size === b.size && a.coverClass === b.coverClass
}

const sameName = (name: string | null): string | null => name?.trim().replace(/\s+/g, ' ').toLowerCase() ?? null
