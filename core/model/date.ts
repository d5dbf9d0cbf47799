/** A calendar date without clock or zone, `YYYY-MM-DD`; plain text so that it sorts and compares as written. */
export type PlainDate = string

const PATTERN = /^(\d{4})-(\d{2})-(\d{2})$/

/** Days since 1970-01-01 in the proleptic Gregorian calendar, or NaN if the text is no calendar date. */
export function dayNumber(date: PlainDate): number {
  const match = PATTERN.exec(date)
  if (!match) return Number.NaN
  const [year, month, day] = [Number(match[1]), Number(match[2]), Number(match[3])]
  const time = Date.UTC(year, month - 1, day)
  const back = new Date(time)
  if (back.getUTCMonth() !== month - 1 || back.getUTCDate() !== day) return Number.NaN
  return time / 86_400_000
}

/** The date that lies `count` days after 1970-01-01. */
export function dateFromDayNumber(count: number): PlainDate {
  return new Date(count * 86_400_000).toISOString().slice(0, 10)
}

export const isPlainDate = (text: string): boolean => !Number.isNaN(dayNumber(text))
export const yearOf = (date: PlainDate): number => Number(date.slice(0, 4))
export const isWithin = (date: PlainDate, start: PlainDate, end: PlainDate): boolean => date >= start && date <= end
