import type { Figure, Quantity } from '../model/index.ts'
import type { MatchedArea } from './matched-effort.ts'
import type { SeasonChange } from './season-change.ts'

const area = (value: number | null): Quantity => ({ kind: 'area', value })
const count = (value: number, singular: string, plural = `${singular}s`): Quantity => ({
  kind: 'count',
  value,
  noun: [singular, plural],
})

/** The effort behind a season's area, and the area at the effort of the poorest season. */
export function effortFigures(matched: MatchedArea, searched: number | null): Figure[] {
  const settings = [{ label: 'visits of the poorest season', quantity: count(matched.matchedVisits, 'visit') }]
  return [
    {
      id: 'visits',
      label: 'Visits behind the area',
      quantity: count(matched.visits, 'visit'),
      why: {
        formula: 'Looks in the detectable window, found or not.',
        settings: searched === null ? [] : [{ label: 'ground that they searched', quantity: area(searched) }],
      },
    },
    {
      id: 'matched_area',
      label: 'Gross area at equal effort',
      quantity: { ...area(matched.matchedArea), ...matched.interval },
      why: {
        formula:
          matched.reason === null
            ? 'Visits thinned at random, again and again, to those of the poorest season; the mean of the outlines made again from the finds that remain.'
            : `Not given: ${matched.reason}.`,
        settings,
      },
    },
  ]
}

/** Ground gained and lost since the season before. */
export function changeFigures(change: SeasonChange, before: string): Figure[] {
  const figure = (id: string, label: string, value: number, formula: string): Figure => ({
    id,
    label,
    quantity: area(value),
    why: { formula, settings: [] },
  })
  return [
    figure(
      'gained_area',
      `Ground gained since ${before}`,
      change.gainedArea,
      `Outlines of this season less those of ${before}; more visits gain ground too.`,
    ),
    figure(
      'lost_area',
      `Ground of ${before} not outlined again`,
      change.lostArea,
      `Outlines of ${before} less those of this season; fewer visits lose ground too.`,
    ),
  ]
}
