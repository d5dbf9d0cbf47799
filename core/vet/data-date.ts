import { dateFromDayNumber, dayNumber, type PlainDate } from '../model/date.ts'
import type { Report } from '../model/report.ts'
import { findSeason, type Season } from '../model/season.ts'

/** Days without a report that end the data, where reports are dense. Common practice, no source. */
const LONGEST_GAP = 60
/** Where reports are sparse, so many times the longest gap seen inside a season. */
const GAP_TIMES = 1.5
/** Share of the dates that are trusted to begin with: rows dated wrongly ahead are fewer than the rest. */
const TRUSTED_SHARE = 0.95

/**
 * The day that the data end on, whatever single rows say: from the date that 95 % of the reports do not pass, on to each
 * later date that follows the one before within 60 days (or 1.5 times the longest gap inside a season up to there).
 * Absent: without reports the end of the last season.
 */
export function estimateDataDate(reports: readonly Pick<Report, 'date'>[], seasons: readonly Season[]): PlainDate {
  const dates = reports.map(report => report.date).sort()
  if (dates.length === 0)
    return (
      seasons
        .map(season => season.end)
        .sort()
        .at(-1) ?? dateFromDayNumber(0)
    )
  const start = Math.floor(TRUSTED_SHARE * (dates.length - 1))
  const limit = Math.max(LONGEST_GAP, GAP_TIMES * longestGapInSeasons(dates.slice(0, start + 1), seasons))
  let last = start
  while (last + 1 < dates.length && dayNumber(dates[last + 1]!) - dayNumber(dates[last]!) <= limit) last++
  return dates[last]!
}

function longestGapInSeasons(dates: readonly PlainDate[], seasons: readonly Season[]): number {
  let longest = 0
  for (let i = 1; i < dates.length; i++) {
    if (dates[i] === dates[i - 1]) continue
    const season = findSeason(seasons, dates[i]!)
    if (season === undefined || dates[i - 1]! < season.start) continue
    longest = Math.max(longest, dayNumber(dates[i]!) - dayNumber(dates[i - 1]!))
  }
  return longest
}
