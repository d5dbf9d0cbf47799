import { measureAdvance, waterwaysOf } from '../advance/index.ts'
import { findParcelsAtRisk, routeDownstream, scoreHindcast } from '../downstream/index.ts'
import { buildSearchedGround } from '../effort/index.ts'
import { isInside, toPlanePolygons } from '../geo/index.ts'
import {
  type AdvanceAnswer,
  type Brief,
  type DownstreamAnswer,
  findSeason,
  isDetectable,
  type ParcelAtRisk,
  type Patch,
  type PatchHistory,
  type PatchNotSeen,
  type ReachNetwork,
  type ReachPlace,
  type SearchedGround,
  type SeasonSightings,
  type Task,
} from '../model/index.ts'
import { buildNetwork, createReachIndex, snapToReach } from '../network/index.ts'
import {
  linkSeasons,
  type MatchedArea,
  matchEffort,
  measureChange,
  outlinePatches,
  type ParcelPlacement,
  placePatchesOnParcels,
  type SeasonChange,
  type SeasonOutline,
} from '../outline/index.ts'
import type { Gathered } from './gather.ts'
import { prepareInputs, type SideInputs } from './inputs.ts'
import type { Vetted } from './vet-reports.ts'
import { outlineWholeExtents } from './whole-extents.ts'

/** The whole job's answer, before words. Lists by season run along the seasons, oldest first. */
export interface SeasonRun {
  readonly inputs: SideInputs
  readonly outlines: readonly SeasonOutline[]
  readonly searched: readonly SearchedGround[]
  readonly histories: readonly PatchHistory[]
  readonly notSeen: readonly PatchNotSeen[]
  /** Gross areas at the effort of the poorest season. */
  readonly matched: readonly MatchedArea[]
  /** Since the season before; null for the first. */
  readonly changes: readonly (SeasonChange | null)[]
  readonly network: ReachNetwork | null
  readonly advance: AdvanceAnswer
  /** One answer a season, scored against the next season's finds; null where there is no water or no patch. */
  readonly downstream: readonly (DownstreamAnswer | null)[]
  readonly placements: readonly (readonly ParcelPlacement[])[]
  /** For the newest season with reports. */
  readonly parcelsAtRisk: readonly ParcelAtRisk[]
}

export interface SeasonInput {
  readonly brief: Brief
  readonly gathered: Gathered
  readonly vetted: Vetted
}

/** Runs every question of the season in turn, each on the answers of the ones before it. */
export async function runSeason(input: SeasonInput, task: Task): Promise<SeasonRun> {
  const { brief, gathered, vetted } = input
  const inputs = prepareInputs(brief, gathered, vetted.tools)
  const searched = await measureSearched(input, inputs, task.part(0, 0.05))
  const outlines = await outlineSeasons(input, inputs, task.part(0.05, 0.42))
  const patchesBySeason = outlines.map(outline => outline.patches)
  const { histories, notSeen } = linkSeasons({
    patchesBySeason,
    seasons: vetted.seasons,
    searchedBefore: searched,
    treatments: inputs.treatments,
    engine: vetted.tools.engine,
  })
  const changes = patchesBySeason.map((newer, s) =>
    s === 0 ? null : measureChange({ older: patchesBySeason[s - 1]!, newer, histories, ...vetted.tools }),
  )
  const sightings = vetted.seasons.map(season => sightingsOf(vetted, season.id))
  const matched = await matchEffort(
    { sightings, patchesBySeason, settings: brief.outline, engine: vetted.tools.engine },
    task.part(0.42, 0.45),
  )
  const network = await networkOf(brief, gathered, task.part(0.45, 0.5))
  const extentsBySeason = await outlineWholeExtents(
    {
      seasons: vetted.seasons,
      sightingsOf: season => sightingsOf(vetted, season),
      settings: brief.outline,
      ...vetted.tools,
      hasCuts: inputs.joinBreaks !== null || inputs.searched.some(({ isFound }) => !isFound),
    },
    task.part(0.5, 0.52),
  )
  const advance = await measureAdvance(
    {
      seasons: vetted.seasons,
      sightings: vetted.sightings,
      patchesBySeason,
      ...(extentsBySeason && { extentsBySeason }),
      histories,
      searched,
      ...vetted.tools,
      waterways: network === null ? null : waterwaysOf(network, vetted.tools.frame),
      carriers: inputs.carriers.length === 0 ? null : inputs.carriers,
      settings: brief.advance,
      join: brief.outline.join,
      bank: brief.downstream.bank,
      profile: brief.species,
    },
    task.part(0.52, 0.7),
  )
  const flow = await routeSeasons(input, { inputs, network, patchesBySeason, advance }, task.part(0.7, 0.85))
  const land = await findLand(input, { network, patchesBySeason, downstream: flow.downstream }, task.part(0.85, 1))
  return { inputs, outlines, searched, histories, notSeen, matched, changes, network, advance, ...flow, ...land }
}

/** Seasons with their searched ground: the extents of reports and the searched layer. */
async function measureSearched(
  { brief, vetted }: SeasonInput,
  inputs: SideInputs,
  task: Task,
): Promise<SearchedGround[]> {
  const { seasons, sightings, tools } = vetted
  const searchedAreas = seasons.flatMap(season =>
    inputs.searched
      .filter(
        ({ date, evidence }) => date !== null && findSeason([season], date) && isDetectable(season, evidence, date),
      )
      .map(({ planar }) => ({ season: season.id, planar })),
  )
  const boundary = inputs.boundary === null ? null : toPlanePolygons(inputs.boundary, tools.frame)
  return buildSearchedGround({ sightings, searchedAreas, settings: brief.outline, boundary, ...tools }, task)
}

async function outlineSeasons(
  { brief, vetted }: SeasonInput,
  inputs: SideInputs,
  task: Task,
): Promise<SeasonOutline[]> {
  const outlines: SeasonOutline[] = []
  for (const [i, season] of vetted.seasons.entries()) {
    const clearGround = inputs.searched.flatMap(({ date, isFound, planar }) =>
      date !== null && !isFound && findSeason([season], date) ? [{ date, planar }] : [],
    )
    outlines.push(
      await outlinePatches(
        {
          sightings: sightingsOf(vetted, season.id),
          settings: brief.outline,
          ...vetted.tools,
          clearGround,
          joinBreaks: inputs.joinBreaks,
          isComputingIntervals: brief.outline.draws > 0,
        },
        task.part(i / vetted.seasons.length, (i + 1) / vetted.seasons.length),
      ),
    )
  }
  return outlines
}

export function sightingsOf(vetted: Vetted, season: string): SeasonSightings {
  return vetted.sightings.find(entry => entry.season === season) ?? { season, finds: [], visits: [] }
}

async function networkOf(brief: Brief, gathered: Gathered, task: Task): Promise<ReachNetwork | null> {
  const lines = gathered.layers.waterways
  if (!lines) return null
  const { snap, isNodingCrossings, isNodingTouches = false, repairs = [] } = brief.downstream
  const { width_m: width, ...named } = brief.layers.waterways?.fields ?? {}
  const fields = { ...named, ...(width === undefined ? {} : { width }) }
  return buildNetwork({ lines, fields, snap, isNodingCrossings, isNodingTouches, repairs, outlets: [] }, task)
}

interface FlowInput {
  readonly inputs: SideInputs
  readonly network: ReachNetwork | null
  readonly patchesBySeason: readonly (readonly Patch[])[]
  readonly advance: AdvanceAnswer
}

async function routeSeasons(
  { brief, vetted }: SeasonInput,
  { inputs, network, patchesBySeason }: FlowInput,
  task: Task,
): Promise<Pick<SeasonRun, 'downstream'>> {
  if (network === null) return { downstream: vetted.seasons.map(() => null) }
  const downstream: (DownstreamAnswer | null)[] = []
  for (const [i, season] of vetted.seasons.entries()) {
    const patches = patchesBySeason[i]!
    const part = task.part(i / vetted.seasons.length, (i + 1) / vetted.seasons.length)
    const { barriers, flood, protect } = inputs
    const common = {
      network,
      season: season.id,
      settings: brief.downstream,
      profile: brief.species,
      barriers,
      flood,
      protect,
    }
    downstream.push(patches.length === 0 ? null : await routeDownstream({ ...common, patches }, part))
  }
  return { downstream: downstream.map((answer, i) => scoreAgainstNext(answer, i)) }

  function scoreAgainstNext(answer: DownstreamAnswer | null, i: number): DownstreamAnswer | null {
    const older = i === 0 ? null : downstream[i - 1]
    if (answer === null || !older || network === null) return answer
    const places = newFindsByWater({ brief, vetted }, network, patchesBySeason[i - 1]!, vetted.seasons[i]!.id)
    return { ...answer, hindcast: scoreHindcast(older, network, places, answer.season) }
  }
}

/** Places on the water of the season's finds that lie outside last season's patches and within bank distance. */
function newFindsByWater(
  { brief, vetted }: Pick<SeasonInput, 'brief' | 'vetted'>,
  network: ReachNetwork,
  older: readonly Patch[],
  season: string,
): ReachPlace[] {
  const index = createReachIndex(network)
  const { frame } = vetted.tools
  return sightingsOf(vetted, season).finds.flatMap(find => {
    if (!find.makesArea || older.some(patch => isInside(patch.planar, find.x, find.y))) return []
    const [longitude, latitude] = frame.toGlobe(find.x, find.y)
    return snapToReach(index, longitude, latitude, brief.downstream.bank) ?? []
  })
}

interface LandInput {
  readonly network: ReachNetwork | null
  readonly patchesBySeason: readonly (readonly Patch[])[]
  readonly downstream: readonly (DownstreamAnswer | null)[]
}

async function findLand(
  { brief, gathered, vetted }: SeasonInput,
  { network, patchesBySeason, downstream }: LandInput,
  task: Task,
): Promise<Pick<SeasonRun, 'placements' | 'parcelsAtRisk'>> {
  const parcels = gathered.layers.parcels
  if (!parcels) return { placements: vetted.seasons.map(() => []), parcelsAtRisk: [] }
  const placements: (readonly ParcelPlacement[])[] = []
  for (const [i, season] of vetted.seasons.entries()) {
    const { finds } = sightingsOf(vetted, season.id)
    const patches = patchesBySeason[i]!
    const part = task.part((i / vetted.seasons.length) * 0.7, ((i + 1) / vetted.seasons.length) * 0.7)
    placements.push((await placePatchesOnParcels({ parcels, patches, finds, ...vetted.tools }, part)).byParcel)
  }
  const answer = downstream.filter(entry => entry !== null).at(-1)
  if (network === null || !answer) return { placements, parcelsAtRisk: [] }
  const finds = new Map(placements.at(-1)!.map(placement => [placement.parcel, placement]))
  const idField = brief.layers.parcels?.fields.id
  const parcelsAtRisk = await findParcelsAtRisk(
    { parcels, ...(idField === undefined ? {} : { idField }), network, answer, bank: brief.downstream.bank, finds },
    task.part(0.7, 1),
  )
  return { placements, parcelsAtRisk }
}
