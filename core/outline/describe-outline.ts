import type {
  Answer,
  Chart,
  Figure,
  OutlineSettings,
  Patch,
  PatchHistory,
  PatchNotSeen,
  Phrase,
  Quantity,
  SearchedGround,
  Season,
  SingleFind,
} from '../model/index.ts'
import { changeFigures, effortFigures } from './change-figures.ts'
import type { MatchedArea } from './matched-effort.ts'
import type { ParcelPlacement } from './place-patches-on-parcels.ts'
import type { SeasonChange } from './season-change.ts'
import { type SeasonTotals, sumSeason } from './season-totals.ts'

/** What one season's outline came to. */
export interface SeasonFacts {
  readonly season: Season
  readonly patches: readonly Patch[]
  readonly singles: readonly SingleFind[]
  /** Reports worse than the accuracy limit. */
  readonly dashed: readonly string[]
  readonly searched: SearchedGround | null
  /** At the effort of the poorest season. */
  readonly matched?: MatchedArea
  /** Since the season before it. */
  readonly change?: SeasonChange
}

export interface OutlineFacts {
  /** All seasons, oldest first. */
  readonly seasons: readonly SeasonFacts[]
  readonly shown: string
  readonly compared: string | null
  readonly histories: readonly PatchHistory[]
  readonly notSeen: readonly PatchNotSeen[]
  /** Of the season shown; null without a parcel layer. */
  readonly parcels: readonly ParcelPlacement[] | null
  /** Name of a feature of the parcel layer; its number from 1 where none is given. */
  readonly parcelName?: (parcel: number) => string
  readonly settings: OutlineSettings
}

/** The outline's answer in words and figures for the season shown, against the compared one where there is one. */
export function describeOutline(facts: OutlineFacts): Answer {
  const shown = findFacts(facts, facts.shown)
  const totals = sumSeason(shown.patches)
  const compared = facts.compared === null ? null : findFacts(facts, facts.compared)
  return {
    headline: headlineOf(shown, totals, compared),
    footing: footingOf(shown, totals),
    figures: [
      ...areaFigures(facts, shown, totals),
      ...(shown.matched ? effortFigures(shown.matched, shown.searched?.area ?? null) : []),
      ...countFigures(facts, shown),
      ...changedGround(facts, shown),
    ],
    chart: chartOf(facts),
    cannotConclude: openQuestions(facts, shown, totals, compared),
  }
}

function findFacts({ seasons }: OutlineFacts, id: string): SeasonFacts {
  const found = seasons.find(({ season }) => season.id === id)
  if (!found) throw new Error(`no season ${id} among the outlined ones`)
  return found
}

const area = (value: number | null): Quantity => ({ kind: 'area', value })
const share = (value: number): Quantity => ({ kind: 'share', value })
const count = (value: number, singular: string, plural = `${singular}s`): Quantity => ({
  kind: 'count',
  value,
  noun: [singular, plural],
})

function headlineOf(shown: SeasonFacts, totals: SeasonTotals, compared: SeasonFacts | null): Phrase {
  const id = shown.season.id
  if (shown.patches.length === 0) {
    return shown.singles.length === 0
      ? [`No report of ${id} places the vine.`]
      : [`The reports of ${id} make no patch; `, count(shown.singles.length, 'single find'), ' stand on the map.']
  }
  const now: Phrase = [
    'The vine covers ',
    area(totals.gross),
    ' gross in ',
    count(shown.patches.length, 'patch', 'patches'),
    ', ',
    area(totals.infested),
    ' of it infested.',
  ]
  if (compared === null || compared.patches.length === 0) return now
  const before = sumSeason(compared.patches)
  return [
    ...now,
    ` In ${compared.season.id} it was `,
    area(before.gross),
    ' in ',
    count(compared.patches.length, 'patch', 'patches'),
    '.',
  ]
}

function footingOf(shown: SeasonFacts, totals: SeasonTotals): Phrase {
  if (shown.patches.length === 0) return ['It rests on the reports that count in this season.']
  const pieces: (string | Quantity)[] = ['It rests on ', count(totals.reports, 'report'), ': ']
  pieces.push(share(totals.measuredShare), ' of the gross area was measured, ')
  pieces.push(share(totals.defaultShare), ' stands on the default radius and ')
  pieces.push(share(totals.infillShare), ' is ground between finds.')
  return pieces
}

/** A patch's name among those of all seasons. */
const nameOf = (patch: Patch): string => `${patch.season}/${patch.id}`

const setting = (label: string, value: number): { label: string; quantity: Quantity } => ({
  label,
  quantity: { kind: 'length', value },
})

function areaFigures({ settings }: OutlineFacts, { patches }: SeasonFacts, totals: SeasonTotals): Figure[] {
  const selection = { layer: 'patches', ids: patches.map(nameOf) }
  const radii = [setting('radius of a find without a size', settings.radius)]
  const join = [setting('join distance, edge to edge', settings.join)]
  return [
    {
      id: 'gross_area',
      label: 'Gross area',
      quantity: { ...area(totals.gross), ...totals.grossInterval },
      why: {
        formula: `Sum of the patch outlines: ${METHOD_WORDS[settings.method]}; on the ellipsoid, less ground searched later and found clear.`,
        settings: [...join, ...radii],
        selection,
      },
    },
    {
      id: 'infested_area',
      label: 'Infested area',
      quantity: { ...area(totals.infested), ...totals.infestedInterval },
      why: {
        formula: 'Union of the discs of plants: gross area less the ground between them.',
        settings: radii,
        selection,
      },
    },
    {
      id: 'net_canopy',
      label: 'Net canopy, where cover is known',
      quantity: area(totals.netCanopy),
      why: {
        formula: `Ground of plants times the midpoint of its cover class (${settings.coverTable.name}), newest report first, only where a cover was reported.`,
        settings: [{ label: 'share of infested ground with known cover', quantity: share(totals.coverKnownShare) }],
        selection,
      },
    },
  ]
}

const METHOD_WORDS: Readonly<Record<OutlineSettings['method'], string>> = {
  closing: 'the discs of finds, grown by half the join distance, united and shrunk again',
  density: 'the contour that holds 95 % of the density of finds, united with their discs',
  discs: 'the discs of finds, united',
}

function countFigures(facts: OutlineFacts, shown: SeasonFacts): Figure[] {
  const { settings, parcels, parcelName = parcel => String(parcel + 1) } = facts
  const figures: Figure[] = [
    {
      id: 'singles',
      label: 'Single finds outside patches',
      quantity: count(shown.singles.length, 'find'),
      why: {
        formula: 'Groups of finds with fewer reports than a patch asks for; they add no area.',
        settings: [
          { label: 'reports a patch, one confirmed', quantity: count(settings.minReports, 'report') },
          { label: 'reports a patch, none confirmed', quantity: count(settings.minReportsUnconfirmed, 'report') },
        ],
        selection: { layer: 'finds', ids: shown.singles.flatMap(single => single.reportIds) },
      },
    },
    {
      id: 'imprecise',
      label: 'Finds too imprecise for area',
      quantity: count(shown.dashed.length, 'find'),
      why: {
        formula: 'Positions worse than the accuracy limit at 95 %: drawn as dashed circles, they add no area.',
        settings: [setting('accuracy limit', settings.accuracyLimit)],
        selection: { layer: 'finds', ids: shown.dashed },
      },
    },
  ]
  if (parcels !== null) figures.push(...parcelFigures(parcels, parcelName))
  return [...figures, ...historyFigures(facts)]
}

function parcelFigures(parcels: readonly ParcelPlacement[], parcelName: (parcel: number) => string): Figure[] {
  const figure = (status: ParcelPlacement['status'], label: string, formula: string): Figure => {
    const ids = parcels.filter(parcel => parcel.status === status).map(({ parcel }) => parcelName(parcel))
    const quantity = count(ids.length, 'parcel')
    return {
      id: `parcels_${status}`,
      label,
      quantity,
      why: { formula, settings: [], selection: { layer: 'parcels', ids } },
    }
  }
  return [
    figure('infested', 'Parcels infested', 'The 95 % circle of a confirmed plant lies within the parcel.'),
    figure('near', 'Parcels near, to check', 'The 95 % circle of a find or an outline touches the parcel.'),
  ]
}

function changedGround({ seasons }: OutlineFacts, shown: SeasonFacts): Figure[] {
  const before = seasons[seasons.indexOf(shown) - 1]
  return shown.change && before ? changeFigures(shown.change, before.season.id) : []
}

const STATUS_WORDS: Readonly<Partial<Record<PatchHistory['status'], string>>> = {
  new: 'New on ground searched before',
  newly_found: 'Newly found, age unknown',
  grown: 'Grown by over 20 %',
  shrunk: 'Shrunk by over 20 %',
}

function historyFigures({ histories, notSeen, shown }: OutlineFacts): Figure[] {
  const own = histories.filter(history => history.season === shown)
  const figures = Object.entries(STATUS_WORDS).flatMap(([status, label]) => {
    const ids = own.filter(history => history.status === status).map(({ patchId }) => `${shown}/${patchId}`)
    if (ids.length === 0) return []
    const formula = 'By overlap with the patches of earlier seasons and the ground that they had searched.'
    return [figureOf(`status_${status}`, label, ids, formula)]
  })
  const gone = notSeen
    .filter(patch => patch.season === shown)
    .map(({ patchSeason, patchId }) => `${patchSeason}/${patchId}`)
  if (gone.length === 0) return figures
  return [
    ...figures,
    figureOf(
      'not_seen',
      'Patches of the season before not seen again',
      gone,
      'No patch of this season overlaps them; that is not proof that they are gone.',
    ),
  ]
}

const figureOf = (id: string, label: string, ids: readonly string[], formula: string): Figure => ({
  id,
  label,
  quantity: count(ids.length, 'patch', 'patches'),
  why: { formula, settings: [], selection: { layer: 'patches', ids } },
})

function chartOf({ seasons }: OutlineFacts): Chart {
  const points = seasons.map(({ season, patches }) => {
    const totals = sumSeason(patches)
    const interval = totals.grossInterval
    return {
      label: season.id,
      x: season.year,
      y: totals.gross,
      low: interval?.low ?? null,
      high: interval?.high ?? null,
      season: season.id,
      selection: { layer: 'patches', ids: patches.map(nameOf) },
    }
  })
  return {
    title: 'Gross area by season',
    kind: 'seasons',
    yKind: 'area',
    points,
    fit: null,
    note: [
      'Bars: 90 % interval under position error. More visits find more ground: compare with the effort of each season.',
    ],
  }
}

/** Share of infested ground whose cover must be known before net canopy speaks for the whole. */
const COVER_SHARE = 0.5
/** Change of visits between seasons from which areas are not comparable as they stand. Common practice, no source. */
const EFFORT_FACTOR = 1.5
/** Fewest visits of a season on which a comparison rests. Common practice, no source. */
const LEAST_VISITS = 30

function openQuestions(
  { settings }: OutlineFacts,
  shown: SeasonFacts,
  totals: SeasonTotals,
  compared: SeasonFacts | null,
): Phrase[] {
  const phrases: Phrase[] = []
  if (shown.patches.length > 0 && totals.coverKnownShare < COVER_SHARE) {
    phrases.push([
      'How dense the vine stands: cover was reported on only ',
      share(totals.coverKnownShare),
      ' of the infested ground. Net canopy needs a cover class with each find.',
    ])
  }
  if (shown.patches.length > 0 && totals.defaultShare > totals.measuredShare) {
    phrases.push([
      'How large single stands are: more ground rests on the default radius of ',
      { kind: 'length', value: settings.radius },
      ' than on measured sizes.',
    ])
  }
  const visits = shown.searched?.visits
  if (visits !== undefined && visits < LEAST_VISITS) {
    phrases.push([
      `How far ${shown.season.id} stands for the whole ground: only `,
      count(visits, 'visit'),
      ' lie in its detectable window.',
    ])
  }
  const before = compared?.searched?.visits
  if (compared !== null && visits !== undefined && before !== undefined && isUneven(visits, before)) {
    phrases.push([
      `Whether area itself changed since ${compared.season.id}: effort went from `,
      count(before, 'visit'),
      ' to ',
      count(visits, 'visit'),
      '. The edge move, taken at equal effort, tells.',
    ])
  }
  return phrases
}

const isUneven = (a: number, b: number): boolean => Math.max(a, b) > EFFORT_FACTOR * Math.min(a, b)
