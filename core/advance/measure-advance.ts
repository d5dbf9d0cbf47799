import type { PolygonEngine, WorkingFrame } from '../geo/index.ts'
import type {
  AdvanceAnswer,
  AdvanceSettings,
  EdgeFamily,
  MultiPath,
  MultiPolygon,
  OutlierPatch,
  Patch,
  PatchHistory,
  ReachPlace,
  SearchedGround,
  Season,
  SeasonMove,
  SeasonSightings,
  SpeciesProfile,
  Task,
} from '../model/index.ts'
import { findInfestedPlaces, measureAlongWater } from './along-water.ts'
import { buildSeasonExtent, measureDisplacement, type SeasonExtent } from './displacement.ts'
import { estimateEdgeMove } from './edge-move.ts'
import { medianElongation } from './elongation.ts'
import { findFirstCells } from './first-cells.ts'
import { buildFirstSeen } from './first-seen.ts'
import { checkGrowth } from './growth-check.ts'
import { gatherKnownGround, type KnownGround } from './known-ground.ts'
import { type Lineage, traceLineage } from './lineage.ts'
import { createOrigins } from './origins.ts'
import { findOutliers } from './outliers.ts'
import { chooseLead } from './rates.ts'
import { collectRates } from './season-rates.ts'
import { measureSectors } from './sectors.ts'
import type { Waterways } from './waterways.ts'

/** What advance is measured from. Arrays by season run along `seasons`, oldest first. */
export interface AdvanceInput {
  readonly seasons: readonly Season[]
  /** Matched to seasons by id; none: outlines only, without an edge move. */
  readonly sightings: readonly SeasonSightings[]
  readonly patchesBySeason: readonly (readonly Patch[])[]
  /** Extents without cut-outs by season, where known; else the patches' own outlines are united. */
  readonly extentsBySeason?: readonly MultiPolygon[]
  readonly histories: readonly PatchHistory[]
  /** Matched to seasons by id. */
  readonly searched: readonly SearchedGround[]
  readonly frame: WorkingFrame
  readonly engine: PolygonEngine
  readonly waterways: Waterways | null
  /** Road and mowing lines, planar. */
  readonly carriers: MultiPath | null
  readonly settings: AdvanceSettings
  /** Join distance g, metres. */
  readonly join: number
  /** Bank distance, metres: within it a patch touches the water. 30 m unless given. */
  readonly bank?: number
  readonly profile: SpeciesProfile
}

/** Metres. Source: common practice, no source. */
const BANK_DISTANCE = 30
/** Side of a cell of first sight, in steps along the boundary. */
const CELL_IN_STEPS = 0.5

/** Measures how far and how fast the edge moved, season by season. */
export async function measureAdvance(input: AdvanceInput, task: Task): Promise<AdvanceAnswer> {
  const { seasons, patchesBySeason, settings, frame, waterways } = input
  const ids = seasons.map(season => season.id)
  const work = await prepare(input, task.part(0, 0.1))
  const moves: SeasonMove[] = []
  const families: EdgeFamily[] = []
  const outliers: OutlierPatch[] = []
  for (let i = 1; i < seasons.length; i++) {
    const part = task.part(0.1 + (0.8 * (i - 1)) / (seasons.length - 1), 0.1 + (0.8 * i) / (seasons.length - 1))
    const pair = await measurePair(input, work, i, part)
    moves.push(pair.move)
    families.push(...pair.families)
    outliers.push(...outliersOf(input, work, i))
  }
  await task.step(0.9, 'Distance along the water')
  const places = work.places.map((all, i) => all.filter((_, k) => !work.isUnknownPlace[i]![k]))
  const alongWater = waterways === null ? [] : measureAlongWater(ids, places, waterways)
  await task.step(0.95, 'Farthest edges')
  const origins = createOrigins({
    origin: settings.origin,
    patchesBySeason,
    extents: work.extents.map(({ extent }) => extent),
    frame,
  })
  const known = patchesBySeason.map(patches => patches.filter(patch => !work.lineage.isAgeUnknown(patch)))
  const sectors =
    origins === null
      ? []
      : ids.flatMap((season, i) =>
          measureSectors({ season, patches: known[i]!, origins, sectors: settings.sectors, step: settings.step }),
        )
  const grossArea = patchesBySeason.map(patches => patches.reduce((sum, patch) => sum + patch.grossArea, 0))
  const effectiveRadius = grossArea.map(area => Math.sqrt(area / Math.PI))
  const elongation = medianElongation(patchesBySeason.findLast(patches => patches.length > 0) ?? [])
  const years = seasons.map(season => season.year)
  const visits = ids.map((_, i) => work.visits[i] ?? null)
  const cell = CELL_IN_STEPS * settings.step
  const jumps = new Set(outliers.map(({ season, patchId }) => `${season} ${patchId}`))
  const isJump = (patch: Patch) => jumps.has(`${patch.season} ${patch.id}`)
  const cells = findFirstCells({ patchesBySeason: known, years, cell, isJump })
  const fromOrigin = { cells, origins, sectorCount: settings.sectors }
  const rates = collectRates({
    seasons: ids,
    years,
    effectiveRadius,
    visits,
    moves,
    alongWater,
    sectors,
    ...fromOrigin,
  })
  const growthCheck = checkGrowth({ years, grossArea, cells, cell })
  const firstSeen = await buildFirstSeen({ cells, cell, seed: settings.seed, frame }, task.part(0.96, 1))
  await task.step(1, 'Front measured')
  return {
    seasons: ids,
    years,
    grossArea,
    searchedShare: ids.map(id => input.searched.find(ground => ground.season === id)?.share ?? null),
    effectiveRadius,
    visits,
    rates,
    leads: chooseLead(rates, elongation),
    moves,
    families,
    alongWater,
    sectors,
    outliers,
    growthCheck,
    firstSeen,
    origin: origins?.places[0] ?? null,
    origins: origins?.places ?? [],
    elongation,
  }
}

/** What every pair of seasons needs, made once. */
interface Work {
  readonly extents: readonly SeasonExtent[]
  /** Ground that the seasons before season i had looked at. */
  readonly known: readonly KnownGround[]
  readonly lineage: Lineage
  readonly sightings: readonly (SeasonSightings | undefined)[]
  readonly visits: readonly (number | undefined)[]
  readonly places: readonly (readonly ReachPlace[])[]
  /** Whether a place belongs to a patch of unknown age. */
  readonly isUnknownPlace: readonly (readonly boolean[])[]
  readonly bank: number
}

/** Patches placed on the water between two steps of the task. */
const PATCHES_A_STEP = 20

async function prepare(input: AdvanceInput, task: Task): Promise<Work> {
  const { seasons, patchesBySeason, engine } = input
  const bank = input.bank ?? BANK_DISTANCE
  const ids = seasons.map(season => season.id)
  const lineage = traceLineage(ids, input.histories, input.searched.length > 0)
  const sightings = ids.map(id => input.sightings.find(entry => entry.season === id))
  const grounds = ids.map(id => input.searched.find(entry => entry.season === id))
  const placed: PlacedOnWater[][] = []
  const extents: SeasonExtent[] = []
  for (const [i, patches] of patchesBySeason.entries()) {
    await task.step((0.6 * i) / seasons.length, `Patches on the water, ${ids[i]}`)
    extents.push(buildSeasonExtent(patches, engine, input.extentsBySeason?.[i]))
    const places: PlacedOnWater[] = []
    for (const [k, patch] of patches.entries()) {
      if (k % PATCHES_A_STEP === 0) await task.step((0.6 * i) / seasons.length, `Patches on the water, ${ids[i]}`)
      places.push(...placePatch(patch, input.waterways, bank, lineage))
    }
    placed.push(places)
  }
  const outlined = extents.map(entry => entry.extent.shape)
  const known = await gatherKnownGround(grounds, outlined, engine, task.part(0.6, 1))
  return {
    extents,
    known,
    lineage,
    sightings,
    visits: seasons.map((_, i) => sightings[i]?.visits.length ?? grounds[i]?.visits),
    places: placed.map(entries => entries.map(entry => entry.place)),
    isUnknownPlace: placed.map(entries => entries.map(entry => entry.isUnknown)),
    bank,
  }
}

interface PlacedOnWater {
  readonly place: ReachPlace
  readonly isUnknown: boolean
}

function placePatch(patch: Patch, waterways: Waterways | null, bank: number, lineage: Lineage): PlacedOnWater[] {
  if (waterways === null) return []
  const isUnknown = lineage.isAgeUnknown(patch)
  return findInfestedPlaces([patch], waterways, bank).map(place => ({ place, isUnknown }))
}

async function measurePair(input: AdvanceInput, work: Work, i: number, task: Task) {
  const { seasons, settings } = input
  const [older, newer] = [work.sightings[i - 1], work.sightings[i]]
  const displacement = await measureDisplacement(
    {
      older: work.extents[i - 1]!,
      newer: work.extents[i]!,
      known: work.known[i]!,
      step: settings.step,
      engine: input.engine,
    },
    task.part(0, 0.3),
  )
  const hasFinds = older !== undefined && newer !== undefined
  const edge = hasFinds
    ? await estimateEdgeMove(
        // Each pair draws from a stream of its own, so that one more season leaves the others' draws alone.
        { older, newer, join: input.join, draws: settings.draws, seed: settings.seed + i, waterways: input.waterways },
        task.part(0.3, 1),
      )
    : undefined
  const move: SeasonMove = {
    from: seasons[i - 1]!.id,
    to: seasons[i]!.id,
    edgeMove: edge?.move ?? null,
    edgeMoveInterval: edge?.interval ?? null,
    edgeMoveDownstream: edge?.downstream ?? null,
    edgeMoveDownstreamInterval: edge?.downstreamInterval ?? null,
    edgeMoveUpstream: edge?.upstream ?? null,
    edgeMoveUpstreamInterval: edge?.upstreamInterval ?? null,
    families: edge?.families ?? 0,
    reason: edge === undefined ? 'The edge move needs dated finds of both seasons.' : edge.reason,
    ...displacement,
  }
  return { move, families: edge?.arrows ?? [] }
}

function outliersOf(input: AdvanceInput, work: Work, i: number): OutlierPatch[] {
  return findOutliers({
    season: input.seasons[i]!.id,
    patches: input.patchesBySeason[i]!,
    lastExtent: work.extents[i - 1]!.extent,
    lastPatches: input.patchesBySeason[i - 1]!,
    lastPlaces: work.places[i - 1]!,
    years: Math.max(1, input.seasons[i]!.year - input.seasons[i - 1]!.year),
    sightings: work.sightings[i],
    lastSightings: work.sightings[i - 1],
    lineage: work.lineage,
    waterways: input.waterways,
    carriers: input.carriers,
    bank: work.bank,
    stemGrowth: input.profile.stemGrowthSeason.value,
  })
}
