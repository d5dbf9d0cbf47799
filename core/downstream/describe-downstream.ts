import {
  type Answer,
  type Chart,
  type DownstreamAnswer,
  type DownstreamSettings,
  type Figure,
  type Hindcast,
  LOOK_ORDER,
  type LoadOnReaches,
  type LookOrder,
  type ParcelAtRisk,
  type Phrase,
  type Quantity,
  type ReachNetwork,
  type SpeciesProfile,
} from '../model/index.ts'
import { centralParameters } from './parameter-draws.ts'

/** What the description rests on. */
export interface DownstreamFacts {
  readonly answer: DownstreamAnswer
  readonly network: ReachNetwork
  readonly settings: DownstreamSettings
  readonly profile: SpeciesProfile
  /** Null without a parcel layer. */
  readonly parcels: readonly ParcelAtRisk[] | null
}

/** The downstream answer in words: it leads with where to look, never with loads. */
export function describeDownstream(facts: DownstreamFacts): Answer {
  const { answer } = facts
  return {
    headline: headlineOf(facts),
    footing: footingOf(facts),
    figures: [...lookFigures(facts), ...parcelFigures(facts), ...protectedFigure(answer), ...hindcastFigures(answer)],
    chart: hasOrder(answer) ? chartOf(facts) : null,
    cannotConclude: openQuestions(facts),
  }
}

const hasOrder = ({ ordinary, flood }: DownstreamAnswer) =>
  ordinary.balance.depositTotal > 0 || flood.balance.depositTotal > 0

const length = (value: number): Quantity => ({ kind: 'length', value })
const share = (value: number): Quantity => ({ kind: 'share', value })
const count = (value: number, singular: string, plural = `${singular}s`): Quantity => ({
  kind: 'count',
  value,
  noun: [singular, plural],
})

/** Reaches of a class in the order of looking. */
function reachesOf(load: LoadOnReaches, look: LookOrder): number[] {
  const code = LOOK_ORDER.indexOf(look)
  const reaches = [...load.look.keys()].filter(r => load.look[r] === code)
  return reaches.sort((a, b) => load.rank[a]! - load.rank[b]!)
}

const bankOf = (network: ReachNetwork, reaches: readonly number[]): number =>
  reaches.reduce((sum, reach) => sum + network.length[reach]!, 0)

/** Names of the streams of reaches, the first to be looked at first. */
function namesOf(network: ReachNetwork, reaches: readonly number[]): string[] {
  const names = reaches.map(reach => network.lines[network.line[reach]!]!.name)
  return [...new Set(names.filter(name => name !== null))]
}

function listNames(names: readonly string[]): string {
  const shown = names.slice(0, 3)
  const rest = names.length - shown.length
  const last = rest > 0 ? `${rest} more` : shown.pop()!
  return shown.length === 0 ? last : `${shown.join(', ')} and ${last}`
}

function headlineOf({ answer, network }: DownstreamFacts): Phrase {
  const first = reachesOf(answer.ordinary, 'first')
  const floodFirst = reachesOf(answer.flood, 'first')
  const flood: Phrase =
    floodFirst.length === 0 ? [] : ['after a flood, first along ', length(bankOf(network, floodFirst))]
  if (first.length === 0) {
    const why =
      answer.loads.length === 0
        ? `No patch of ${answer.season} lies near enough to water to shed into it in ordinary flow`
        : 'The patches shed into water whose direction is unknown: no order of looking can be given'
    return flood.length === 0 ? [`${why}.`] : [`${why}; `, ...flood, '.']
  }
  const names = namesOf(network, first)
  return [
    'Look first along ',
    length(bankOf(network, first)),
    names.length === 0 ? ' of bank' : ` of bank, on ${listNames(names)}`,
    ...(flood.length === 0 ? [] : ['; ', ...flood]),
    '.',
  ]
}

function footingOf({ answer, network }: DownstreamFacts): Phrase {
  const reaches = answer.ordinary.rank.filter(rank => rank > 0).length
  return [
    'It rests on ',
    count(answer.loads.length, 'patch', 'patches'),
    ' of ',
    count(answer.patchIds.length, 'patch', 'patches'),
    ` of ${answer.season} near water and on `,
    count(reaches, 'reach', 'reaches'),
    ' below them of ',
    count(network.reachCount, 'reach', 'reaches'),
    '. It is a guide for looking, not proof that anything is there.',
    ...scoreOf(answer.hindcast),
  ]
}

/** How the order of the season before did, said as plainly where it is bad. */
function scoreOf(hindcast: Hindcast | null): Phrase {
  if (hindcast === null) return []
  const { from, to, finds } = hindcast
  return [
    ` The order of ${from} had `,
    share(hindcast.inFirstTenth),
    ' of ',
    count(finds, 'new find'),
    ` of ${to} on its first tenth of bank and `,
    share(hindcast.inFirstQuarter),
    ' on its first quarter; distance alone would have had ',
    share(hindcast.distanceInFirstTenth),
    ' and ',
    share(hindcast.distanceInFirstQuarter),
    ', chance ',
    share(hindcast.chanceInFirstTenth),
    ' and ',
    share(hindcast.chanceInFirstQuarter),
    `. ${verdictOf(hindcast)}`,
  ]
}

/** Errors of the curve that a score must clear to be called better or worse than chance: a 90 % interval. */
const CLEAR = 1.645

function verdictOf(hindcast: Hindcast): string {
  const { auc, aucError, inFirstQuarter, chanceInFirstQuarter } = hindcast
  if (auc + CLEAR * aucError < 0.5) return 'It did worse than chance: do not look by it here.'
  if (auc - CLEAR * aucError <= 0.5 || inFirstQuarter <= chanceInFirstQuarter)
    return 'It did not do clearly better than chance.'
  const lost = partsLostToDistance(hindcast)
  if (auc <= hindcast.distanceAuc || lost.length === 2)
    return 'It did better than chance, but no better than distance alone.'
  return lost.length === 0
    ? 'It did better than chance and than distance alone.'
    : `It did better than chance, but on the ${lost[0]} no better than distance alone.`
}

/** Parts of the bank on which distance alone would have hit as much or more. */
function partsLostToDistance(hindcast: Hindcast): string[] {
  return [
    ...(hindcast.inFirstTenth <= hindcast.distanceInFirstTenth ? ['first tenth'] : []),
    ...(hindcast.inFirstQuarter <= hindcast.distanceInFirstQuarter ? ['first quarter'] : []),
  ]
}

const reachIds = (reaches: readonly number[]) => ({ layer: 'reaches', ids: reaches.map(reach => String(reach + 1)) })

function lookFigures({ answer, network, settings, profile }: DownstreamFacts): Figure[] {
  const parameters = centralParameters(settings, profile)
  const figures: Figure[] = []
  for (const load of [answer.ordinary, answer.flood]) {
    const isFlood = load.scenario === 'flood'
    const retention = isFlood ? parameters.retentionFlood : parameters.retentionOrdinary
    for (const look of ['first', 'next'] as const) {
      const reaches = reachesOf(load, look)
      figures.push({
        id: `${isFlood ? 'flood-' : ''}look-${look}`,
        label: `Look ${look}${isFlood ? ' after a flood' : ''}`,
        quantity: length(bankOf(network, reaches)),
        why: {
          formula:
            look === 'first'
              ? 'Reaches with the most deposit a metre of bank, up to 10 % of the bank length with any deposit.'
              : 'The reaches that follow, up to 25 % of the bank length with any deposit.',
          settings: [
            { label: 'Retention length', quantity: length(retention) },
            { label: 'Bank distance', quantity: length(settings.bank) },
            { label: 'Bank scale', quantity: length(settings.bankScale) },
            { label: 'Draws', quantity: { kind: 'count', value: settings.draws } },
          ],
          selection: reachIds(reaches),
        },
      })
    }
  }
  return [...figures, ...firmnessFigure(answer.ordinary)]
}

function firmnessFigure(load: LoadOnReaches): Figure[] {
  const first = reachesOf(load, 'first')
  const firm = first.map(reach => load.lookFirmness[reach]!).filter(value => !Number.isNaN(value))
  if (firm.length === 0) return []
  const mean = firm.reduce((sum, value) => sum + value, 0) / firm.length
  const formula =
    'Share of the draws of uncertain numbers that put a reach to look at first there too; mean of those reaches.'
  return [
    {
      id: 'look-firmness',
      label: 'How firm',
      quantity: share(mean),
      why: { formula, settings: [], selection: reachIds(first) },
    },
  ]
}

function parcelFigures({ parcels }: DownstreamFacts): Figure[] {
  if (parcels === null) return []
  const below = parcels.filter(({ status }) => status === 'downstream')
  const why = {
    formula:
      'Parcels with bank to look at first or next, in ordinary flow or in flood, that are neither infested nor near.',
    settings: [],
    selection: { layer: 'parcels', ids: below.map(({ parcelId }) => parcelId) },
  }
  return [{ id: 'parcels-to-warn', label: 'Parcels to warn', quantity: count(below.length, 'parcel'), why }]
}

/** How much of what settles by protected sites one patch brings; the patch is selected on the map, not named. */
function protectedFigure({ ordinary, patchIds }: DownstreamAnswer): Figure[] {
  const averted = ordinary.avertedAtProtected
  const total = averted?.reduce((sum, value) => sum + value, 0) ?? 0
  if (averted === undefined || !(total > 0)) return []
  const first = averted.indexOf(Math.max(...averted))
  const formula =
    'Share of the deposit on bank within bank distance of protected sites that the removal of one patch averts: the largest.'
  const selection = { layer: 'patches', ids: [patchIds[first]!] }
  return [
    {
      id: 'protected-first',
      label: 'One patch’s part at protected sites',
      quantity: share(averted[first]! / total),
      why: { formula, settings: [], selection },
    },
  ]
}

const percent = (value: number): string => `${(100 * value).toFixed(0)} %`

interface PartScore {
  readonly part: 'tenth' | 'quarter'
  readonly hits: number
  readonly byDistance: number
  readonly byChance: number
}

/** What one part of the order hit, always beside what distance alone and chance would have hit there. */
function partFigures({ from, to, finds }: Hindcast, { part, hits, byDistance, byChance }: PartScore): Figure[] {
  const figure = (id: string, label: string, value: number, formula: string): Figure => ({
    id,
    label,
    quantity: share(value),
    why: { formula, settings: [] },
  })
  return [
    figure(
      `hindcast-${part}`,
      `Hits in the first ${part}, ${from}`,
      hits,
      `Share of the ${finds} new finds of ${to} on the bank that the order of ${from} put first.`,
    ),
    figure(
      `hindcast-distance-${part}`,
      `First ${part} by distance alone`,
      byDistance,
      'Reaches in the order of their distance below the nearest patch, nothing else.',
    ),
    figure(
      `hindcast-chance-${part}`,
      `First ${part} by chance`,
      byChance,
      `Share of the bank with any deposit that the first ${part} takes up.`,
    ),
  ]
}

function hindcastFigures({ hindcast }: DownstreamAnswer): Figure[] {
  if (hindcast === null) return []
  return [
    ...partFigures(hindcast, {
      part: 'tenth',
      hits: hindcast.inFirstTenth,
      byDistance: hindcast.distanceInFirstTenth,
      byChance: hindcast.chanceInFirstTenth,
    }),
    ...partFigures(hindcast, {
      part: 'quarter',
      hits: hindcast.inFirstQuarter,
      byDistance: hindcast.distanceInFirstQuarter,
      byChance: hindcast.chanceInFirstQuarter,
    }),
    {
      id: 'hindcast-auc',
      label: 'Chance that a hit ranks above a miss',
      quantity: share(hindcast.auc),
      why: {
        formula: `Rank-based area under the curve, standard error ${percent(hindcast.aucError)}; by distance alone ${percent(hindcast.distanceAuc)}, by chance 50 %.`,
        settings: [],
      },
    },
  ]
}

function chartOf({ answer, network }: DownstreamFacts): Chart {
  const classes = ['first', 'next', 'low'] as const
  const bars = [answer.ordinary, answer.flood].flatMap(load =>
    classes.map(look => ({
      label: `${look}${load.scenario === 'flood' ? ', flood' : ''}`,
      y: bankOf(network, reachesOf(load, look)),
      selection: reachIds(reachesOf(load, look)),
    })),
  )
  return {
    title: `Bank by order of looking, ${answer.season}`,
    kind: 'bars',
    yKind: 'length',
    points: bars.map((bar, x) => ({ ...bar, x })),
    fit: null,
    note: ['Length of water with any deposit. Ordinary flow leads, flood stands beside it.'],
  }
}

function openQuestions({ answer, network }: DownstreamFacts): Phrase[] {
  const open: Phrase[] = []
  const { ordinary } = answer
  if (answer.loads.length > 0) {
    open.push([
      'How many propagules arrive: loads and chances rest on weak numbers; the order rests on them much less.',
    ])
  }
  const unknown = network.evidence.filter(evidence => evidence === 0).length
  if (unknown > 0) {
    open.push([
      'Where water goes from ',
      count(unknown, 'reach', 'reaches'),
      ' of unknown direction: give their direction.',
    ])
  }
  const { strandedTotal, loadTotal } = ordinary.balance
  if (loadTotal > 0 && strandedTotal > 0.01 * loadTotal) {
    open.push([
      'Where ',
      share(strandedTotal / loadTotal),
      ' of the load goes, which comes to ends not marked as outlets: mark them or mend the gaps.',
    ])
  }
  if (answer.hindcast === null) {
    open.push(['Whether the order holds here: it is scored once a later season has new finds by the water.'])
  } else if (answer.hindcast.auc <= answer.hindcast.distanceAuc || partsLostToDistance(answer.hindcast).length > 0) {
    open.push([
      `Whether the order beats distance alone: in ${answer.hindcast.to} it did not, or not on every part of the bank.`,
    ])
  }
  return open
}
