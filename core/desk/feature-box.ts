import type { Layer } from '../geo/index.ts'
import type { Box } from '../model/index.ts'

/** Bounds of one feature in degrees. */
export function boxOfFeature({ geometry }: Layer, fid: number): Box {
  const [first, last] = [geometry.features[fid]!, geometry.features[fid + 1]!]
  const start = geometry.rings[geometry.parts[first]!]!
  const end = geometry.rings[geometry.parts[last]!]!
  let [west, south, east, north] = [180, 90, -180, -90]
  for (let v = start; v < end; v++) {
    const [x, y] = [geometry.coords[2 * v]!, geometry.coords[2 * v + 1]!]
    west = Math.min(west, x)
    east = Math.max(east, x)
    south = Math.min(south, y)
    north = Math.max(north, y)
  }
  return [west, south, east, north]
}
