import { isInside, toGlobePaths, toGlobePolygons, toPlanePath, toPlanePolygons } from '../geo/index.ts'
import type { MultiPath, MultiPolygon } from '../model/geometry.ts'
import type { SheetContent, SheetFind, SheetLine, SheetReach } from '../model/sheet-content.ts'
import { coarsestOf, levelFor } from './audience.ts'
import type { CuttingTools, PrivacyFacts } from './privacy-facts.ts'

/**
 * The content on one owner's land: patches, finds, searched ground and water cut to it, no neighbour's parcel, owner or find.
 * The table and the headline stay: they are totals of the district.
 */
export function cutToOwnLand(
  content: SheetContent,
  owner: string,
  facts: PrivacyFacts,
  { frame, engine }: CuttingTools,
): SheetContent {
  const parcels = content.parcels.filter(parcel => parcel.owner === owner)
  const land = engine.union(parcels.map(parcel => toPlanePolygons(parcel.outline, frame)))
  const cut = (shape: MultiPolygon) => toGlobePolygons(engine.intersection(toPlanePolygons(shape, frame), land), frame)
  const cutLines = <T extends SheetReach | SheetLine>(lines: readonly T[]): T[] =>
    lines.flatMap(line => {
      const pieces: MultiPath = engine.clipPaths([toPlanePath(line.path, frame)], land)
      return toGlobePaths(pieces, frame).map(path => ({ ...line, path }))
    })
  const isOwn = (find: SheetFind) => {
    const consents = find.reportIds.map(id => facts.reports.get(id)?.consent ?? 'withheld')
    return (
      levelFor(coarsestOf(consents), 'owner') === 'exact' &&
      isInside(land, ...frame.toPlane(find.longitude, find.latitude))
    )
  }
  const own = <T extends SheetFind>(find: T): T => ({ ...find, reportIds: [] })
  return {
    ...content,
    audience: 'owner',
    patches: content.patches
      .map(patch => ({ ...patch, outline: cut(patch.outline), label: null, reportIds: [] }))
      .filter(patch => patch.outline.length > 0),
    finds: content.finds.filter(isOwn).map(own),
    // A circle of uncertainty reaches over the fence.
    dashedFinds: [],
    cells: [],
    searchedClear: content.searchedClear.map(cut).filter(shape => shape.length > 0),
    arrows: [],
    reaches: cutLines(content.reaches),
    parcels,
    flood: content.flood === null ? null : cut(content.flood),
    effort: [],
  }
}
