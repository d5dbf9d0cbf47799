import { boxOf, isInside, type PolygonEngine, planarArea, polygonsMeeting } from '../geo/index.ts'
import type {
  Box,
  MultiPolygon,
  Patch,
  PatchHistory,
  PatchNotSeen,
  PatchStatus,
  PlainDate,
  SearchedGround,
  Season,
} from '../model/index.ts'

/** A treatment of the ground: a place or an area, working frame. */
export interface Treatment {
  readonly date: PlainDate
  readonly planar: MultiPolygon | readonly [x: number, y: number]
}

export interface LinkInput {
  /** One list a season, in the order of `seasons` (oldest first). */
  readonly patchesBySeason: readonly (readonly Patch[])[]
  readonly seasons: readonly Season[]
  /** Searched ground of any seasons; each counts for the seasons after its own. */
  readonly searchedBefore: readonly SearchedGround[]
  readonly treatments: readonly Treatment[]
  readonly engine: PolygonEngine
}

export interface SeasonLinks {
  readonly histories: readonly PatchHistory[]
  readonly notSeen: readonly PatchNotSeen[]
}

/** Change of gross area by which a patch counts as grown or shrunk. */
const STEADY_SHARE = 0.2
/** Ground shared by less than this is a touch, not an overlap, square metres. */
const LEAST_OVERLAP = 1e-3
/** Share of the ground of plants that an earlier season must have searched for a new patch to be new. */
const SEARCHED_SHARE = 0.5

/**
 * What each patch is to the seasons before it, and the patches that were not seen again.
 * A patch is split where its predecessor has several successors, merged where it has several predecessors (that wins).
 * One that overlaps no patch of the season before but an older one came back: it is judged against that one's area.
 * Without any overlap it is new where an earlier season searched at least half of the ground of its plants, else newly found.
 */
export function linkSeasons(input: LinkInput): SeasonLinks {
  const { patchesBySeason, seasons, engine } = input
  const histories: PatchHistory[] = []
  const notSeen: PatchNotSeen[] = []
  const boxed = patchesBySeason.map(patches => patches.map(patch => ({ patch, box: boxOf(patch.planar) })))
  for (const [s, patches] of boxed.entries()) {
    const season = seasons[s]!
    const searched = s === 0 ? [] : groundSearchedBefore(input, s)
    const older = boxed.slice(0, s).reverse()
    const links = patches.map(own => older.map(olds => olds.filter(old => isOverlapping(engine, own, old))))
    const before = links.map(bySeason => bySeason[0] ?? [])
    for (const [i, { patch, box }] of patches.entries()) {
      const status = s === 0 ? 'first' : statusOf({ patch, links: links[i]!, siblings: before, engine, searched })
      histories.push({
        season: season.id,
        patchId: patch.id,
        status,
        linkedFrom: before[i]!.map(old => old.patch.id),
        isTreated: input.treatments.some(
          treatment => treatment.date <= season.end && isOn(engine, treatment, patch, box),
        ),
      })
    }
    const seen = new Set(before.flat())
    for (const old of boxed[s - 1] ?? []) {
      if (!seen.has(old)) notSeen.push({ season: season.id, patchSeason: old.patch.season, patchId: old.patch.id })
    }
  }
  return { histories, notSeen }
}

interface BoxedPatch {
  readonly patch: Patch
  readonly box: Box | undefined
}

interface StatusInput {
  readonly patch: Patch
  /** Older patches that it overlaps, by season, newest first. */
  readonly links: readonly (readonly BoxedPatch[])[]
  /** Predecessors of all the patches of its season. */
  readonly siblings: readonly (readonly BoxedPatch[])[]
  readonly engine: PolygonEngine
  readonly searched: MultiPolygon
}

function statusOf({ patch, links, siblings, engine, searched }: StatusInput): PatchStatus {
  const before = links[0] ?? []
  if (before.length > 1) return 'merged'
  const [only] = before
  if (only && siblings.filter(olds => olds.includes(only)).length > 1) return 'split'
  const last = links.find(olds => olds.length > 0)
  if (last) {
    const oldArea = last.reduce((sum, old) => sum + old.patch.grossArea, 0)
    if (patch.grossArea > oldArea * (1 + STEADY_SHARE)) return 'grown'
    return patch.grossArea < oldArea * (1 - STEADY_SHARE) ? 'shrunk' : 'steady'
  }
  const ground = planarArea(patch.infestedPlanar)
  const known = planarArea(engine.intersection(patch.infestedPlanar, searched))
  return known >= SEARCHED_SHARE * ground ? 'new' : 'newly_found'
}

/** Searched ground of earlier seasons, as far as it can meet the season's patches. */
function groundSearchedBefore(
  { seasons, searchedBefore, patchesBySeason, engine }: LinkInput,
  season: number,
): MultiPolygon {
  const earlier = new Set(seasons.slice(0, season).map(({ id }) => id))
  const places = patchesBySeason[season]!.flatMap(patch => [...patch.planar])
  const grounds = searchedBefore.filter(ground => earlier.has(ground.season))
  return engine.union(grounds.map(ground => polygonsMeeting(ground.planar, places)))
}

const isMeeting = (a: Box | undefined, b: Box | undefined): boolean =>
  a !== undefined && b !== undefined && a[0] <= b[2] && a[2] >= b[0] && a[1] <= b[3] && a[3] >= b[1]

const isOverlapping = (engine: PolygonEngine, a: BoxedPatch, b: BoxedPatch): boolean =>
  isMeeting(a.box, b.box) && planarArea(engine.intersection(a.patch.planar, b.patch.planar)) > LEAST_OVERLAP

function isOn(engine: PolygonEngine, { planar }: Treatment, patch: Patch, box: Box | undefined): boolean {
  if (isPlace(planar)) return isInside(patch.planar, planar[0], planar[1])
  return isMeeting(boxOf(planar), box) && planarArea(engine.intersection(planar, patch.planar)) > LEAST_OVERLAP
}

const isPlace = (planar: Treatment['planar']): planar is readonly [number, number] => typeof planar[0] === 'number'
