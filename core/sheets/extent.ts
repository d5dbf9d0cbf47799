import type { WorkingFrame } from '../geo/index.ts'
import type { Box } from '../model/geometry.ts'
import { InputError } from '../model/problem.ts'
import type { SheetContent } from '../model/sheet-content.ts'

/** Room round what is shown: this share of its size, and at least so many metres. */
const MARGIN_SHARE = 0.03
const LEAST_MARGIN = 60

/**
 * The ground that a season review must show, planar metres: patches, finds, cells, arrows and the reaches to look at first
 * and next; without any of these the boundary, the other reaches, the parcels.
 * Errors: InputError when the content holds no place at all.
 */
export function extentOf(content: SheetContent, frame: WorkingFrame): Box {
  for (const paths of [mainPaths(content), boundaryPaths(content), waterPaths(content), parcelPaths(content)]) {
    const box = boundsInPlane(paths, frame)
    if (box !== null) return withMargin(box)
  }
  throw new InputError({
    code: 'sheet-empty',
    reason: 'there is nothing to draw: no patch, find, boundary, waterway or parcel',
    remedy: 'Give at least one layer with a place.',
  })
}

const mainPaths = (content: SheetContent): Float64Array[] => [
  // An owner's sheet is of the owner's land, whatever stands on it.
  ...(content.audience === 'owner' ? parcelPaths(content) : []),
  ...content.patches.flatMap(patch => patch.outline.flatMap(polygon => polygon.slice(0, 1))),
  ...content.cells.flatMap(cell => cell.outline.flatMap(polygon => polygon.slice(0, 1))),
  ...[...content.finds, ...content.dashedFinds, ...content.arrows].map(({ longitude, latitude }) =>
    Float64Array.of(longitude, latitude),
  ),
  ...content.reaches.filter(reach => reach.look === 'first' || reach.look === 'next').map(reach => reach.path),
]

const boundaryPaths = (content: SheetContent): Float64Array[] => content.boundary?.flat() ?? []
const waterPaths = (content: SheetContent): Float64Array[] => content.reaches.map(reach => reach.path)
const parcelPaths = (content: SheetContent): Float64Array[] => content.parcels.flatMap(parcel => parcel.outline.flat())

function boundsInPlane(paths: readonly Float64Array[], frame: WorkingFrame): Box | null {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const path of paths) {
    for (let i = 0; i < path.length; i += 2) {
      const [x, y] = frame.toPlane(path[i]!, path[i + 1]!)
      west = Math.min(west, x)
      east = Math.max(east, x)
      south = Math.min(south, y)
      north = Math.max(north, y)
    }
  }
  return west <= east ? [west, south, east, north] : null
}

function withMargin([west, south, east, north]: Box): Box {
  const margin = Math.max(LEAST_MARGIN, MARGIN_SHARE * Math.max(east - west, north - south))
  return [west - margin, south - margin, east + margin, north + margin]
}
