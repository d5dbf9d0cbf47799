import {
  DAUBENMIRE,
  type Degrees,
  type Finding,
  type Metres,
  type MultiPolygon,
  type OutlineSettings,
  type Report,
  type Season,
} from '../../core/model/index.ts'
import { checkReports } from '../../core/vet/index.ts'

/** Outline settings as a brief leaves them. */
export const OUTLINE: OutlineSettings = {
  method: 'closing',
  radius: 5,
  join: 30,
  minReports: 1,
  minReportsUnconfirmed: 1,
  accuracyLimit: 30,
  minimumHole: 0,
  searchRadius: 25,
  joinWaterWidth: 30,
  bandwidth: 'silverman',
  mass: 0.95,
  draws: 100,
  seed: 1,
  coverTable: DAUBENMIRE,
}
const season = (year: number): Season => ({
  id: String(year),
  start: `${year}-03-16`,
  end: `${year + 1}-03-15`,
  year,
  detectable: { leaf: [`${year}-05-01`, `${year}-10-31`], propagule: [`${year}-07-01`, `${year + 1}-03-15`] },
})
/** Two seasons with windows for leaves and propagules. */
export const SEASONS = [season(2023), season(2024)]
const BOUNDARY: MultiPolygon = [[Float64Array.of(-46, 35.5, -45.5, 35.5, -45.5, 36, -46, 36, -46, 35.5)]]

/** A clean, unchecked find of 2024 with what differs. */
export const report = (id: string, change: Partial<Report> = {}): Report => ({
  id,
  file: 'r.csv',
  row: Number(id) + 1,
  date: '2024-07-01',
  // Each a few hundred metres from the next.
  longitude: (-45.81234 + Number(id) * 0.00511) as Degrees,
  latitude: 35.71234 as Degrees,
  isFound: true,
  evidence: 'leaf',
  coverClass: null,
  cover: null,
  size: null,
  accuracy: 5 as Metres,
  accuracyLevel: null,
  extent: null,
  recorder: 'plot 7',
  training: 'new',
  confirmedBy: null,
  status: 'unchecked',
  consent: 'exact',
  notes: null,
  ...change,
})
/** Findings on reports, with a boundary around all of them unless told otherwise. */
export const check = (
  reports: Report[],
  boundary: MultiPolygon | null = BOUNDARY,
  dataDate = '2024-10-01',
): Finding[] => checkReports({ reports, seasons: SEASONS, boundary, dataDate, outline: OUTLINE })
/** Findings as [report, rule, severity]. */
export const told = (findings: Finding[]) => findings.map(({ reportId, rule, severity }) => [reportId, rule, severity])
/** A place as the fields of a report. */
export const at = (longitude: number, latitude: number) => ({
  longitude: longitude as Degrees,
  latitude: latitude as Degrees,
})
