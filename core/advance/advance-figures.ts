import type { AdvanceAnswer, Figure, Interval, Quantity, Rate, RateKind, Why } from '../model/index.ts'
import { ASSUMES } from './compare-rates.ts'
import type { Span } from './span.ts'

const RATE_LABELS: Readonly<Record<RateKind, string>> = {
  radial_m_per_year: 'Area-equivalent radius a year',
  distance_m_per_year: 'Farthest edge from the origin a year',
  distance_quantile_m_per_year: 'Newly infested places from the origin a year, 0.9 quantile',
  displacement_m_per_year: 'Boundary displacement a year',
  edge_move_m_per_year: 'Edge move a year',
  along_water_m_per_year: 'Along the water a year',
}

/** The figures of an answer between two seasons; those that cannot be given are left out, their reasons stand elsewhere. */
export function advanceFigures(answer: AdvanceAnswer, span: Span): Figure[] {
  return [
    ...edgeFigures(span),
    ...outlineFigures(span),
    ...waterFigures(answer, span),
    ...rateFigures(answer),
    ...growthFigures(answer),
    ...jumpFigures(span),
  ]
}

function edgeFigures(span: Span): Figure[] {
  const formula =
    'Both seasons thinned to equal visits, finds grouped into families, each thinned to equal finds; change of sqrt(2) x root mean square distance from the middle of both seasons, finds close together counting as one place.'
  const toward =
    'By network distance along the water: shift of the mean position and change of twice the standard deviation (of 1.73 times in long, thin families).'
  const overall = betweenFamilies(span.edgeMove, span.edgeMoveInterval)
  const [fewest, most] = [countOf(span.families), countOf(span.familiesMost)]
  const isSum = span.moves.length > 1
  const settings = isSum
    ? [
        { label: 'Moves added up', quantity: countOf(span.moves.length) },
        { label: 'Fewest patch families', quantity: fewest },
        { label: 'Most', quantity: most },
      ]
    : [{ label: 'Patch families', quantity: most }]
  const added = isSum ? `, ${span.moves.length} added up` : ''
  return [
    ...figure('edge-move', `Edge move${added}`, overall, { formula, settings }),
    ...figure(
      'edge-move-downstream',
      `Edge move downstream${added}`,
      betweenFamilies(span.downstream, span.downstreamInterval),
      {
        formula: toward,
        settings,
      },
    ),
    ...figure(
      'edge-move-upstream',
      `Edge move upstream${added}`,
      betweenFamilies(span.upstream, span.upstreamInterval),
      {
        formula: toward,
        settings,
      },
    ),
  ]
}

function outlineFigures(span: Span): Figure[] {
  const only = span.moves.length === 1 ? span.moves[0]! : null
  const points = only === null ? [] : [{ label: 'Places on the boundary', quantity: countOf(only.boundaryPoints) }]
  const on = only === null ? [] : [{ label: 'Places on searched ground', quantity: countOf(only.searchedPoints) }]
  return [
    ...figure('outline-median', 'Outlines, median', signedLength(span.median), {
      formula:
        'Signed distance of the newer boundary from the older extent, median over its length; moves with effort.',
      settings: points,
    }),
    ...figure('outline-searched', 'Outlines, on ground searched before', signedLength(only?.searchedMedian ?? null), {
      formula: 'The same over ground that an earlier season had searched.',
      settings: on,
    }),
    ...figure('outline-retreat', 'Outlines, retreat', signedLength(only?.retreatMedian ?? null), {
      formula:
        'Signed distance of the older boundary from the newer extent, median; positive where the edge drew back.',
      settings: [],
    }),
    ...figure(
      'newly-found',
      'Newly found, age unknown',
      { kind: 'area', value: span.newlyFoundArea },
      {
        formula: 'Gross area on ground that no earlier season had searched or outlined; never called advance.',
        settings: [],
      },
    ),
  ]
}

function waterFigures(answer: AdvanceAnswer, span: Span): Figure[] {
  const water = answer.alongWater.find(entry => entry.season === span.to)
  const formula = 'Network distance from the oldest infested reach to the farthest infested one.'
  return [
    ...figure(
      'along-downstream',
      'Farthest downstream',
      { kind: 'length', value: water?.downstream ?? null },
      { formula, settings: [] },
    ),
    ...figure(
      'along-upstream',
      'Farthest upstream',
      { kind: 'length', value: water?.upstream ?? null },
      { formula, settings: [] },
    ),
  ]
}

function rateFigures(answer: AdvanceAnswer): Figure[] {
  const kinds = Object.keys(RATE_LABELS) as RateKind[]
  const ordered = kinds.sort((a, b) => Number(b === answer.leads) - Number(a === answer.leads))
  return ordered.flatMap(kind => {
    const rate = answer.rates[kind]
    if (isSignOpen(rate)) return []
    return figure(`rate-${kind}`, RATE_LABELS[kind], rateQuantity(rate), {
      formula: `${rate.method} ${ASSUMES[kind]}`,
      settings: [
        { label: kind === 'distance_quantile_m_per_year' ? 'Places' : 'Seasons', quantity: countOf(rate.n) },
        ...(rate.r2 === null
          ? []
          : [{ label: 'Variance explained', quantity: { kind: 'share', value: rate.r2 } as const }]),
      ],
    })
  })
}

/** Whether an interval leaves open if the vine advances or retreats. */
export const isSignOpen = ({ low, high }: Rate): boolean => low !== null && high !== null && low < 0 && high > 0

function growthFigures({ growthCheck }: AdvanceAnswer): Figure[] {
  const { speed, growth, places } = growthCheck
  return figure(
    'fisher-speed',
    'Front speed that growth and scatter would give',
    { kind: 'rate', value: speed },
    {
      formula:
        '2 sqrt(r D): r the growth of the logarithm of gross area a year, D the mean square distance of newly infested places from older ones over 4 years. For even ground, without jumps; water that carries one way runs ahead of it.',
      settings: [
        { label: 'Growth a year', quantity: { kind: 'share', value: growth } },
        { label: 'Newly infested places', quantity: countOf(places) },
      ],
    },
  )
}

function jumpFigures(span: Span): Figure[] {
  const formula =
    'New patches on ground searched before, farther from last season than stem growth and both 95 % position errors.'
  const select = (jumps: Span['jumps']): Why => ({
    formula,
    settings: [],
    selection: { layer: 'patches', ids: jumps.map(jump => `${jump.season}/${jump.patchId}`) },
  })
  const jumps: Quantity = { kind: 'count', value: span.jumps.length }
  const far: Quantity = { kind: 'count', value: span.farAgeUnknown.length }
  return [
    ...(span.jumps.length > 0 ? figure('jumps', 'Outlier patches', jumps, select(span.jumps)) : []),
    ...(span.farAgeUnknown.length > 0
      ? figure('far-age-unknown', 'Far patches, age unknown', far, select(span.farAgeUnknown))
      : []),
  ]
}

function figure(id: string, label: string, quantity: Quantity, why: Why): Figure[] {
  return quantity.value === null ? [] : [{ id, label, quantity, why }]
}

const rateQuantity = (rate: Rate): Quantity => ({
  kind: 'rate',
  value: rate.value,
  low: rate.low,
  high: rate.high,
  isSigned: true,
})
const betweenFamilies = (value: number | null, interval: Interval | null): Quantity => ({
  kind: 'length',
  value,
  low: interval?.low ?? null,
  high: interval?.high ?? null,
  isSigned: true,
})
const signedLength = (value: number | null): Quantity => ({ kind: 'length', value, isSigned: true })
const countOf = (value: number): Quantity => ({ kind: 'count', value })
