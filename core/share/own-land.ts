import { isInside, measureArea, toGlobePaths, toGlobePolygons, toPlanePath, toPlanePolygons } from '../geo/index.ts'
import type { MultiPath, MultiPolygon } from '../model/geometry.ts'
import type { Phrase, Quantity } from '../model/quantity.ts'
import type {
  SheetContent,
  SheetFind,
  SheetLine,
  SheetParcel,
  SheetPatch,
  SheetReach,
  SheetSeason,
  SheetTableRow,
} from '../model/sheet-content.ts'
import { coarsestOf, levelFor } from './audience.ts'
import type { CuttingTools, PrivacyFacts } from './privacy-facts.ts'
import { lookPhrase, lookRows } from './share-words.ts'

/**
 * Reports nearer than this to own land may shape the outline on it, so that their consent counts too, metres.
 * Source: common practice, no source (the join distance of 30 m and a stand of 30 m across).
 */
export const SHAPING_DISTANCE = 60

/**
 * The content on one owner's land: patches, finds, searched ground and water cut to it, no neighbour's parcel, owner or find.
 * Headline and table are counted on that land alone; how the front moved in the district stands below them.
 */
export function cutToOwnLand(
  content: SheetContent,
  owner: string,
  facts: PrivacyFacts,
  { frame, engine }: CuttingTools,
): SheetContent {
  const held = content.parcels.filter(parcel => parcel.owner === owner)
  const land = engine.union(held.map(parcel => toPlanePolygons(parcel.outline, frame)))
  const near = engine.buffer(land, SHAPING_DISTANCE, 8)
  const cut = (shape: MultiPolygon) => toGlobePolygons(engine.intersection(toPlanePolygons(shape, frame), land), frame)
  const cutLines = <T extends SheetReach | SheetLine>(lines: readonly T[]): T[] =>
    lines.flatMap(line => {
      const pieces: MultiPath = engine.clipPaths([toPlanePath(line.path, frame)], land)
      return toGlobePaths(pieces, frame).map(path => ({ ...line, path }))
    })
  const isOn = (ground: MultiPolygon, place: { readonly longitude: number; readonly latitude: number }) =>
    isInside(ground, ...frame.toPlane(place.longitude, place.latitude))
  const mayShow = (reportIds: readonly string[]) =>
    levelFor(coarsestOf(reportIds.map(id => facts.reports.get(id)?.consent ?? 'withheld')), 'owner') === 'exact'
  const mayShowPart = ({ reportIds }: SheetPatch) => {
    const shaping = reportIds.filter(id => {
      const report = facts.reports.get(id)
      return report === undefined || isOn(near, report)
    })
    return mayShow(shaping)
  }
  const patches = content.patches
    .map(patch => ({ whole: patch, outline: cut(patch.outline) }))
    .filter(({ whole, outline }) => outline.length > 0 && mayShowPart(whole))
    .map(({ whole, outline }) => ({ ...whole, id: '', outline, label: null, reportIds: [] }))
  const finds = content.finds
    .filter(find => isOn(land, find) && mayShow(find.reportIds))
    .map(find => ({ ...find, reportIds: [] }))
  const reaches = cutLines(content.reaches)
  // A mark may stem from a find next door or from one that is kept back: it stays where something shown stands.
  const parcels = held.map(parcel => {
    const shape = toPlanePolygons(parcel.outline, frame)
    const hasPatch = patches.some(
      ({ season, outline }) =>
        season === 'shown' && engine.intersection(toPlanePolygons(outline, frame), shape).length > 0,
    )
    const hasFind = finds.some(find => find.season === 'shown' && isOn(shape, find))
    return hasPatch || hasFind ? parcel : { ...parcel, mark: 'none' as const }
  })
  const own = { patches, finds, reaches }
  return {
    ...content,
    ...own,
    reaches: [...streamsOf(content), ...reaches],
    audience: 'owner',
    // A circle of uncertainty reaches over the fence.
    dashedFinds: [],
    cells: [],
    searchedClear: content.searchedClear.map(cut).filter(shape => shape.length > 0),
    arrows: [],
    parcels,
    flood: content.flood === null ? null : cut(content.flood),
    headline: ownHeadline(content, own),
    looking: lookPhrase(reaches, ' of water on this land'),
    footing: [['In the district: ', ...content.headline]],
    table: [...ownTable(own), ...parcelRows(parcels)],
    effort: [],
    chart: null,
    hindcast: null,
    cannotConclude: [
      ['Whether ground of this land where nobody looked is free of the vine.'],
      ['How large a patch is that reaches beyond this land: its part here is counted alone.'],
    ],
  }
}

/** Streams that have a name, without any order of looking: they tell where the land lies. */
const streamsOf = ({ reaches }: SheetContent): SheetReach[] =>
  reaches.filter(reach => reach.name !== null).map(reach => ({ ...reach, look: 'none' }))

interface OwnFacts {
  readonly patches: readonly SheetPatch[]
  readonly finds: readonly SheetFind[]
  readonly reaches: readonly SheetReach[]
}

const inSeason = <T extends { readonly season: SheetSeason }>(things: readonly T[], season: SheetSeason): T[] =>
  things.filter(thing => thing.season === season)

const areaOf = (patches: readonly SheetPatch[]): Quantity => ({
  kind: 'area',
  value: patches.reduce((sum, patch) => sum + measureArea(patch.outline), 0),
})
const count = (value: number, one: string, many: string): Quantity => ({ kind: 'count', value, noun: [one, many] })

function ownHeadline({ seasons }: SheetContent, { patches, finds }: OwnFacts): Phrase {
  const [standing, single] = [inSeason(patches, 'shown'), inSeason(finds, 'shown')]
  const singles = count(single.length, 'single find', 'single finds')
  if (standing.length > 0) {
    const area: Phrase = [`In ${seasons.shown} the vine stands on `, areaOf(standing), ' of this land, in ']
    const also: Phrase = single.length === 0 ? ['.'] : [', with ', singles, '.']
    return [...area, count(standing.length, 'patch', 'patches'), ...also]
  }
  if (single.length > 0)
    return ['On this land ', singles, ` of ${seasons.shown} ${single.length === 1 ? 'is' : 'are'} known.`]
  return [`No find of ${seasons.shown} is shown on this land; that is not proof that the vine is absent.`]
}

function ownTable({ patches, finds, reaches }: OwnFacts): SheetTableRow[] {
  const row = (id: string, label: string, of: (season: SheetSeason) => Quantity): SheetTableRow => ({
    id,
    label,
    shown: of('shown'),
    compared: of('compared'),
  })
  return [
    row('gross_area', 'Gross area on this land', season => areaOf(inSeason(patches, season))),
    row('patches', 'Patches on this land', season => count(inSeason(patches, season).length, 'patch', 'patches')),
    row('singles', 'Single finds on this land', season => count(inSeason(finds, season).length, 'find', 'finds')),
    ...lookRows(reaches),
  ]
}

/** Parcels that a table names. */
const MOST_PARCELS = 12

function parcelRows(parcels: readonly SheetParcel[]): SheetTableRow[] {
  const text = (value: string): Quantity => ({ kind: 'text', value })
  const words = { infested: 'confirmed plant', near: 'check', none: 'nothing shown' } as const
  const sorted = [...parcels].sort((a, b) => (a.id < b.id ? -1 : 1))
  const rows = sorted.slice(0, MOST_PARCELS).map(
    ({ id, mark }): SheetTableRow => ({
      id: `parcel-${id}`,
      label: `Parcel ${id}`,
      shown: text(words[mark]),
      compared: text(''),
    }),
  )
  const more = sorted.length - rows.length
  if (more <= 0) return rows
  const rest = `and ${more} more ${more === 1 ? 'parcel' : 'parcels'}`
  return [...rows, { id: 'parcels-more', label: rest, shown: text(''), compared: text(''), isMinor: true }]
}
