import type { AdvanceAnswer, Answer, OutlierPatch, OutlierRoute, Phrase, Quantity, RateKind } from '../model/index.ts'
import { RATE_KINDS } from '../model/index.ts'
import { advanceChart } from './advance-chart.ts'
import { advanceFigures, isSignOpen } from './advance-figures.ts'
import { disagreements, leadReason } from './compare-rates.ts'
import { ELONGATED } from './rates.ts'
import { type Span, spanBetween } from './span.ts'

const ROUTE_WORDS: Readonly<Record<OutlierRoute, string>> = {
  water: ', likely by water',
  road: ', likely along a road or mowing route',
  overland: ', likely overland',
  unknown: ', by a route unknown',
}

/** Visits of one season over the other's past which finds in clumps may mislead the edge move. Source: the recovery table. */
const UNEVEN_EFFORT = 2

/** Relative change of visits below which effort is said to be even. */
const EVEN_EFFORT = 0.05

/** The answer to "how far and how fast did it move, and did it jump?" between two seasons, built from the figures. */
export function describeAdvance(answer: AdvanceAnswer, from: string, to: string): Answer {
  const span = spanBetween(answer, from, to)
  return {
    headline: headlineOf(span),
    footing: footingOf(span),
    figures: advanceFigures(answer, span),
    chart: advanceChart(answer),
    cannotConclude: cannotConclude(answer, span),
  }
}

function headlineOf(span: Span): Phrase {
  if (span.moves.length === 0) return [`Season ${span.to} stands alone: there is nothing to compare it with.`]
  const moved = movedPhrase(span)
  const jumped = jumpPhrase(span.jumps)
  return jumped.length === 0 ? [...moved, '.'] : [...moved, ', and ', ...jumped, '.']
}

function movedPhrase(span: Span): Phrase {
  const since = `Since ${span.from} `
  if (span.edgeMove !== null) return [since, ...edgePhrase(span)]
  if (span.median === null) return [`${since}no patch of both seasons can be compared`]
  const size = length(Math.abs(span.median))
  return span.median < 0
    ? [`${since}the outlines drew back `, size, ' (median of the boundary)']
    : [`${since}the outlines moved out `, size, ' (median of the boundary)']
}

function edgePhrase({ edgeMove, edgeMoveInterval, moves }: Span): Phrase {
  const move = edgeMove ?? 0
  if (edgeMoveInterval === null) {
    const added: Phrase = moves.length > 1 ? [` (${moves.length} moves added up)`] : []
    return [move < 0 ? 'the edge drew back ' : 'the edge moved ', length(Math.abs(move)), ...added]
  }
  const { low, high } = edgeMoveInterval
  if (low <= 0 && high >= 0) {
    return ['no movement of the edge can be told from chance: ', { ...length(move, low, high), isSigned: true }]
  }
  return move < 0 ? ['the edge drew back ', length(-move, -high, -low)] : ['the edge moved ', length(move, low, high)]
}

function jumpPhrase(jumps: readonly OutlierPatch[]): Phrase {
  const [farthest] = jumps
  if (farthest === undefined) return []
  const distance = length(farthest.distance)
  const words = ROUTE_WORDS[farthest.route]
  if (jumps.length === 1) return ['one patch jumped ', distance, words]
  return [count(jumps.length, 'patch', 'patches'), ' jumped, the farthest ', distance, words]
}

function footingOf(span: Span): Phrase {
  if (span.moves.length === 0) return ['A displacement needs two seasons, a rate three.']
  const basis: Phrase =
    span.edgeMove === null
      ? ['From the outlines alone, which also move when effort does.']
      : ['At equal effort, from ', ...familiesPhrase(span), '.', ...noIntervalPhrase(span)]
  return [...basis, ...effortPhrase(span)]
}

/** Families of a move, or the range over the moves that were added up. */
function familiesPhrase({ moves, families, familiesMost }: Span): Phrase {
  const most = count(familiesMost, 'patch family', 'patch families')
  if (moves.length < 2) return [most]
  const each: Phrase = [most, ' from season to season']
  return families === familiesMost ? each : [`${families} to `, ...each]
}

function noIntervalPhrase({ moves }: Span): Phrase {
  if (moves.length < 2) return []
  return [
    ' The sum has no interval: its moves share the seasons between them, so that their errors are not independent.',
  ]
}

function effortPhrase({ visitRatio, edgeMove, median }: Span): Phrase {
  if (visitRatio === null) return [' How many visits were made is not known.']
  const change = visitRatio - 1
  const alone: Phrase =
    edgeMove === null || median === null
      ? ['.']
      : [': the outlines alone would say ', { ...length(median), isSigned: true }, '.']
  if (Math.abs(change) < EVEN_EFFORT) return [' Visits stayed about even', ...alone]
  return [change > 0 ? ' Visits rose ' : ' Visits fell ', { kind: 'share', value: Math.abs(change) }, ...alone]
}

function cannotConclude(answer: AdvanceAnswer, span: Span): Phrase[] {
  const missing = new Set(span.moves.flatMap(move => (move.reason === null ? [] : [move.reason])))
  const phrases: Phrase[] = [...missing].map(reason => [reason])
  if (span.moves.length > 1 && span.edgeMove !== null) {
    phrases.push(['How sure the sum of several moves is: compare two seasons in a row for an interval.'])
  }
  if (span.edgeMove !== null && isEffortUneven(span)) {
    phrases.push([
      'Visits changed by more than twice: where finds lie in a few clumps along water, that alone can move this figure by several metres either way.',
    ])
  }
  if (span.jumps.length > 0) {
    phrases.push([
      'A jump can also be ground that the search before walked past: where few finds were made, check it before it is called new.',
    ])
  }
  if (span.farAgeUnknown.length > 0) {
    phrases.push([
      count(span.farAgeUnknown.length, 'far patch lies', 'far patches lie'),
      ' on ground that nobody had searched before: their age is unknown, so this is not called a jump.',
    ])
  }
  phrases.push(...openRatePhrases(answer))
  if (answer.leads === null) phrases.push([noLeadReason(answer)])
  phrases.push(...disagreementPhrases(answer))
  if (answer.elongation !== null && answer.elongation > ELONGATED) {
    phrases.push([
      `Patches are long and thin (length over width ${answer.elongation.toFixed(1)}), so the rate that assumes a round front is not led with.`,
    ])
  }
  return phrases
}

const isEffortUneven = ({ visitRatio }: Span): boolean =>
  visitRatio !== null && (visitRatio > UNEVEN_EFFORT || visitRatio < 1 / UNEVEN_EFFORT)

/** Rates whose interval holds growth and retreat alike: no figure to be read as a speed. */
function openRatePhrases({ rates }: AdvanceAnswer): Phrase[] {
  return RATE_KINDS.filter(kind => isSignOpen(rates[kind])).map(kind => {
    const { low, high } = rates[kind]
    const between = (value: number | null): Quantity => ({ kind: 'rate', value, isSigned: true })
    return [`The rate of ${SHORT[kind]}: it may lie anywhere from `, between(low), ' to ', between(high), '.']
  })
}

/** The leading rate against those whose intervals do not meet its own; without a lead, that some pair does not. */
function disagreementPhrases(answer: AdvanceAnswer): Phrase[] {
  const pairs = disagreements(answer)
  const { leads } = answer
  const others = pairs.flatMap(([one, other]) => (one === leads ? [other] : other === leads ? [one] : []))
  if (pairs.length === 0 || (leads !== null && others.length === 0)) return []
  if (leads === null)
    return [['The rates disagree: the intervals of some do not meet. Each stands with what it assumes.']]
  const names = others.map(kind => SHORT[kind]).join(', ')
  return [
    [`The rates disagree: the leading one and ${names} have intervals that do not meet. ${leadReason(answer) ?? ''}`],
  ]
}

const SHORT: Readonly<Record<RateKind, string>> = {
  radial_m_per_year: 'the area-equivalent radius',
  distance_m_per_year: 'the farthest edge',
  distance_quantile_m_per_year: 'the newly infested places',
  displacement_m_per_year: 'the displacement of the outlines',
  edge_move_m_per_year: 'the edge move',
  along_water_m_per_year: 'the distance along the water',
}

function noLeadReason(answer: AdvanceAnswer): string {
  // The quantile rate counts places, not seasons.
  const bySeason = RATE_KINDS.filter(kind => kind !== 'distance_quantile_m_per_year')
  const seasons = Math.max(...bySeason.map(kind => answer.rates[kind].n))
  if (seasons < 3) return 'A rate needs three seasons, and a headline rate four.'
  return `With ${seasons} seasons a rate has a wide interval; it leads an answer from four on.`
}

const length = (value: number, low?: number, high?: number): Quantity =>
  low === undefined || high === undefined ? { kind: 'length', value } : { kind: 'length', value, low, high }

const count = (value: number, singular: string, plural: string): Quantity => ({
  kind: 'count',
  value,
  noun: [singular, plural],
})
