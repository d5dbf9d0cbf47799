import { effortGrid } from '../effort/index.ts'
import { azimuthBetween, columnValue, findColumn, type Layer, multiPathOf, multiPolygonOf } from '../geo/index.ts'
import {
  type Answer,
  type Box,
  type EffortGrid,
  type Figure,
  LOOK_ORDER,
  type Phrase,
  type Quantity,
  type Reading,
  type SheetArrow,
  type SheetContent,
  type SheetFind,
  type SheetLine,
  type SheetParcel,
  type SheetPatch,
  type SheetReach,
  type SheetRequest,
  type SheetSeason,
  type SheetTableRow,
} from '../model/index.ts'
import { SHEET_CAUTIONS } from '../sheets/index.ts'
import { advanceSpan } from './describe.ts'
import { newestAnswer, reachPath } from './outputs.ts'
import { type SeasonRun, sightingsOf } from './run-season.ts'
import type { DeskState } from './state.ts'
import { waterAnswer } from './water-answer.ts'

export interface SheetChoice {
  readonly shown: string
  readonly compared: string | null
}

export interface SheetAnswers {
  readonly outline: Answer
  /** The outline's answer for the season compared with, for the second column of the table. */
  readonly outlineBefore: Answer | null
  readonly advance: Answer
  readonly downstream: Answer
}

/** Everything that a season review may show, exact; the audience's cut comes after. */
export function buildSheetContent(
  state: DeskState & { readonly run: SeasonRun },
  choice: SheetChoice,
  answers: SheetAnswers,
  request: SheetRequest,
  reading: Reading,
): SheetContent {
  const { brief, gathered, vetted } = state
  return {
    title: request.title ?? `Season review, ${choice.shown}`,
    place: brief.title,
    dataDate: vetted.dataDate,
    seasons: choice,
    audience: request.audience,
    reading,
    runId: state.runId,
    patches: patchesOf(state, choice),
    finds: findsOf(state, choice),
    dashedFinds: dashedOf(state, choice),
    cells: [],
    searchedClear: clearGround(state, choice.shown),
    arrows: arrowsOf(state, choice),
    reaches: reachesOf(state, choice),
    parcels: parcelsOf(state, choice),
    roads: gathered.reference.flatMap(linesOf),
    boundary: state.run.inputs.boundary,
    flood: null,
    headline: answers.advance.headline,
    looking: answers.downstream.headline,
    footing: [answers.advance.footing, jumpsElsewhere(state, choice), answers.outline.footing].filter(
      phrase => phrase.length > 0,
    ),
    table: tableOf(answers),
    effort: effortOf(state, choice),
    chart: answers.advance.chart,
    hindcast: hindcastPhrase(state, choice),
    cannotConclude: [answers.outline, answers.advance, answers.downstream].flatMap(answer => [
      ...answer.cannotConclude,
    ]),
    positionNote: `Positions are good to ${brief.outline.accuracyLimit} m or better (95 %) wherever they make area.`,
    cautions: SHEET_CAUTIONS,
    credits: creditsOf(state),
  }
}

/** Jumps that the headline counts and the map, which draws two seasons, does not show. */
function jumpsElsewhere(state: DeskState & { run: SeasonRun }, choice: SheetChoice): Phrase {
  const { jumps } = advanceSpan(state.run, state, choice)
  const undrawn = jumps.filter(jump => jump.season !== choice.shown)
  if (undrawn.length === 0) return []
  const marked: Quantity = { kind: 'count', value: jumps.length - undrawn.length }
  return [`Of the jumps, the map marks those of ${choice.shown}: `, marked, '.']
}

const roleOf = (season: string, choice: SheetChoice): SheetSeason | null =>
  season === choice.shown ? 'shown' : season === choice.compared ? 'compared' : null

function patchesOf({ run }: DeskState & { run: SeasonRun }, choice: SheetChoice): SheetPatch[] {
  return run.outlines.flatMap(({ patches }) =>
    patches.flatMap(patch => {
      const season = roleOf(patch.season, choice)
      if (season === null) return []
      const history = run.histories.find(h => h.season === patch.season && h.patchId === patch.id)
      const outlier = run.advance.outliers.find(o => o.season === patch.season && o.patchId === patch.id)
      const label = season === 'shown' && outlier && !outlier.isAgeUnknown ? ROUTES[outlier.route] : null
      return [
        {
          id: patch.id,
          season,
          outline: patch.outline,
          status: history?.status ?? null,
          isOutlier: outlier !== undefined,
          label,
          reportIds: patch.reportIds,
        },
      ]
    }),
  )
}

const ROUTES = {
  water: 'jumped, likely by water',
  road: 'jumped, likely along a road or mowing route',
  overland: 'jumped overland',
  unknown: 'jumped, route unknown',
} as const

function findsOf({ run, vetted }: DeskState & { run: SeasonRun }, choice: SheetChoice): SheetFind[] {
  return run.outlines.flatMap(({ singles }) =>
    singles.flatMap(single => {
      const season = roleOf(single.season, choice)
      if (season === null) return []
      const [longitude, latitude] = vetted.tools.frame.toGlobe(single.x, single.y)
      return [{ season, longitude, latitude, reportIds: single.reportIds }]
    }),
  )
}

function dashedOf({ vetted }: DeskState, choice: SheetChoice): SheetContent['dashedFinds'] {
  return sightingsOf(vetted, choice.shown)
    .finds.filter(find => !find.makesArea)
    .map(find => {
      const [longitude, latitude] = vetted.tools.frame.toGlobe(find.x, find.y)
      return { season: 'shown' as const, longitude, latitude, reportIds: [find.reportId], radius: find.accuracy95 }
    })
}

function clearGround({ run, vetted }: DeskState & { run: SeasonRun }, shown: string): SheetContent['searchedClear'] {
  const season = vetted.seasons.find(entry => entry.id === shown)
  return run.inputs.searched
    .filter(({ date, isFound }) => !isFound && season && date !== null && date >= season.start && date <= season.end)
    .map(({ shape }) => shape)
}

function arrowsOf({ run, vetted }: DeskState & { run: SeasonRun }, { shown, compared }: SheetChoice): SheetArrow[] {
  const { frame } = vetted.tools
  return run.advance.families
    .filter(f => f.to === shown && f.from === compared && Math.abs(f.moveTowardShift) > 2 * f.moveStandardError)
    .map(family => {
      const [longitude, latitude] = frame.toGlobe(family.x, family.y)
      const tip = frame.toGlobe(family.x + family.shift[0], family.y + family.shift[1])
      return {
        longitude,
        latitude,
        azimuth: azimuthBetween(longitude, latitude, tip[0], tip[1]),
        length: Math.abs(family.moveTowardShift),
        label: { kind: 'length', value: family.moveTowardShift, isSigned: true },
      }
    })
}

function reachesOf({ run }: DeskState & { run: SeasonRun }, { shown }: SheetChoice): SheetReach[] {
  const { network } = run
  if (network === null) return []
  const look = waterAnswer(run, shown)?.ordinary.look
  return Array.from({ length: network.reachCount }, (_, reach) => {
    const line = network.lines[network.line[reach]!]!
    return {
      path: reachPath(network, reach),
      look: LOOK_ORDER[look?.[reach] ?? 0]!,
      name: line.name,
      width: line.width,
    }
  })
}

/** Parcels; they are marked on a sheet of the newest season alone, which the marks are of. */
function parcelsOf({ gathered, run, brief }: DeskState & { run: SeasonRun }, { shown }: SheetChoice): SheetParcel[] {
  const layer = gathered.layers.parcels
  if (!layer) return []
  const fields = brief.layers.parcels?.fields ?? {}
  const [ids, owners] = [fields['id'], fields['owner']].map(name => (name ? findColumn(layer, name) : undefined))
  const isNewest = newestAnswer(run.downstream)?.season === shown
  const marks = new Map((isNewest ? run.parcelsAtRisk : []).map(parcel => [parcel.parcelId, parcel.status]))
  return Array.from({ length: layer.featureCount }, (_, i) => {
    const id = String((ids && columnValue(ids, i)) ?? i + 1)
    const mark = marks.get(id)
    const owner = owners ? columnValue(owners, i) : null
    return {
      id,
      outline: multiPolygonOf(layer, i),
      mark: mark === 'infested' || mark === 'near' ? mark : 'none',
      owner: owner === null ? null : String(owner),
    }
  })
}

function linesOf(layer: Layer): SheetLine[] {
  const names = findColumn(layer, 'name')
  return Array.from({ length: layer.featureCount }, (_, i) => i).flatMap(i => {
    const name = names ? columnValue(names, i) : null
    return multiPathOf(layer, i).map(path => ({ path, name: name === null ? null : String(name) }))
  })
}

/** What of the outline's figures fits beside the map with the chart below; the rest stands in the window. */
const MOST_OUTLINE_ROWS = 9

/** Rows of both seasons from the outline's figures; the front's and the water's figures stand in the first column. */
function tableOf({ outline, outlineBefore, advance, downstream }: SheetAnswers): SheetTableRow[] {
  const before = new Map(outlineBefore?.figures.map(figure => [figure.id, figure.quantity]) ?? [])
  const row = (figure: Figure, compared: Quantity | null): SheetTableRow => ({
    id: figure.id,
    label: figure.label,
    shown: figure.quantity,
    compared,
  })
  const single = [...advance.figures.slice(0, 3), ...downstream.figures.slice(0, 2)]
  return [
    ...outline.figures.slice(0, MOST_OUTLINE_ROWS).map(figure => row(figure, before.get(figure.id) ?? null)),
    ...single.map(figure => row(figure, null)),
  ]
}

/** About this many cells across the smaller side of the ground. */
const EFFORT_CELLS = 9

function effortOf({ vetted }: DeskState, choice: SheetChoice): EffortGrid[] {
  const seasons = [choice.compared, choice.shown].filter(season => season !== null)
  const sightings = seasons.map(season => sightingsOf(vetted, season))
  const box = boxOfVisits(sightings.flatMap(entry => [...entry.visits]))
  if (box === null) return []
  const side = Math.min(box[2] - box[0], box[3] - box[1])
  const cell = Math.max(50, Math.ceil(side / EFFORT_CELLS / 50) * 50)
  return sightings.map(entry => ({
    label: entry.season,
    season: roleOf(entry.season, choice)!,
    ...effortGrid({ sightings: entry, box, cell }),
  }))
}

function boxOfVisits(visits: readonly { readonly x: number; readonly y: number }[]): Box | null {
  if (visits.length === 0) return null
  const [xs, ys] = [visits.map(visit => visit.x), visits.map(visit => visit.y)]
  const least = (values: number[]) => values.reduce((a, b) => Math.min(a, b))
  const most = (values: number[]) => values.reduce((a, b) => Math.max(a, b))
  return [least(xs), least(ys), most(xs), most(ys)]
}

function hindcastPhrase({ run }: DeskState & { run: SeasonRun }, { shown }: SheetChoice): Phrase | null {
  const hindcast = waterAnswer(run, shown)?.hindcast ?? null
  if (hindcast === null) return null
  const share = (value: number): Quantity => ({ kind: 'share', value })
  return [
    `How the order of ${hindcast.from} did: `,
    share(hindcast.inFirstTenth),
    ` of the new finds of ${hindcast.to} near water lay on its first tenth of bank; distance downstream alone `,
    share(hindcast.distanceInFirstTenth),
    ', chance ',
    share(hindcast.chanceInFirstTenth),
    '; on the first quarter ',
    share(hindcast.inFirstQuarter),
    ', distance alone ',
    share(hindcast.distanceInFirstQuarter),
    ', chance ',
    share(hindcast.chanceInFirstQuarter),
    '.',
  ]
}

function creditsOf({ gathered, vetted }: DeskState): string[] {
  const recorders = new Set(gathered.reports.map(report => report.recorder).filter(name => name !== null))
  const of = recorders.size === 0 ? '' : ` of ${recorders.size} ${recorders.size === 1 ? 'recorder' : 'recorders'}`
  return [`Reports${of}, to ${vetted.dataDate}.`]
}
