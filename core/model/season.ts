import { isWithin, type PlainDate, yearOf } from './date.ts'
import { EVIDENCE, type Evidence } from './report.ts'

/** A named span of dates, both ends included, with the window in which each kind of evidence can be seen. */
export interface Season {
  readonly id: string
  readonly start: PlainDate
  readonly end: PlainDate
  /** The year that stands for the season on a time axis. */
  readonly year: number
  readonly detectable: Readonly<Partial<Record<Evidence, readonly [start: PlainDate, end: PlainDate]>>>
}

/** The season whose dates hold the day; undefined when none does. */
export const findSeason = (seasons: readonly Season[], date: PlainDate): Season | undefined =>
  seasons.find(season => isWithin(date, season.start, season.end))

/** Whether a look for this evidence on this day can say anything. Without a window for the evidence: the whole season. */
export function isDetectable(season: Season, evidence: Evidence, date: PlainDate): boolean {
  const window = season.detectable[evidence]
  return window === undefined ? isWithin(date, season.start, season.end) : isWithin(date, window[0], window[1])
}

/** Calendar years that hold the given dates, as seasons that are detectable throughout; for work without a brief. */
export function calendarSeasons(dates: Iterable<PlainDate>): Season[] {
  const years = [...new Set([...dates].map(yearOf))].sort((a, b) => a - b)
  return years.map(year => {
    const [start, end] = [`${year}-01-01`, `${year}-12-31`]
    const detectable = Object.fromEntries(EVIDENCE.map(evidence => [evidence, [start, end] as const]))
    return { id: String(year), start, end, year, detectable }
  })
}
