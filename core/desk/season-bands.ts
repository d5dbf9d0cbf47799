import type { SeasonBand } from '../desk-view.ts'
import { dayNumber, EVIDENCE, type Season } from '../model/index.ts'
import { sightingsOf } from './run-season.ts'
import type { Vetted } from './vet-reports.ts'

/** Seasons as bands: reports by week and the windows in which each evidence can be seen. */
export function buildSeasonBands(vetted: Vetted): SeasonBand[] {
  return vetted.seasons.map(season => {
    const span = dayNumber(season.end) - dayNumber(season.start) + 1
    const weeks = Array.from({ length: Math.ceil(span / 7) }, () => ({ found: 0, clear: 0 }))
    const { finds, visits } = sightingsOf(vetted, season.id)
    const weekOf = (date: string) => weeks[Math.floor((dayNumber(date) - dayNumber(season.start)) / 7)]
    for (const find of finds) count(weekOf(find.date), 'found')
    for (const visit of visits) if (!visit.isFound) count(weekOf(visit.date), 'clear')
    return {
      season: season.id,
      year: season.year,
      start: season.start,
      end: season.end,
      weeks,
      detectable: windowsOf(season, span),
    }
  })
}

function count(week: { found: number; clear: number } | undefined, kind: 'found' | 'clear'): void {
  if (week) week[kind]++
}

function windowsOf(season: Season, span: number): SeasonBand['detectable'] {
  const share = (date: string) => (dayNumber(date) - dayNumber(season.start)) / span
  return EVIDENCE.flatMap(evidence => {
    const window = season.detectable[evidence]
    return window ? [{ evidence, from: share(window[0]), to: Math.min(1, share(window[1]) + 1 / span) }] : []
  })
}
