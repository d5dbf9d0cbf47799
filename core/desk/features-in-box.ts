import type { MapLayer, MapLayerId, SeasonChoice } from '../desk-view.ts'
import { columnValue, findColumn, GEOMETRY_KIND, isInside, type Layer, multiPolygonOf } from '../geo/index.ts'
import type { Box } from '../model/index.ts'
import { boxOfFeature } from './feature-box.ts'

/** Which column holds the season, for layers that have seasons. */
const SEASON_COLUMNS: Readonly<Partial<Record<MapLayerId, string>>> = {
  patches: 'season',
  finds: 'season',
  clear: 'season',
  searched: 'season',
  arrows: 'to',
}

/**
 * Features that meet or touch a box of degrees, of the seasons chosen where a layer has seasons.
 * Accuracy and cost: exact on straight edges in degrees; one pass over the layer's vertices.
 */
export function featuresInBox({ id, layer }: MapLayer, box: Box, choice: SeasonChoice): number[] {
  const name = SEASON_COLUMNS[id]
  const seasons = name === undefined ? undefined : findColumn(layer, name)
  const isChosen = (fid: number) => {
    if (!seasons) return true
    const season = columnValue(seasons, fid)
    return season === choice.shown || season === choice.compared
  }
  const found: number[] = []
  for (let fid = 0; fid < layer.featureCount; fid++) if (isChosen(fid) && meetsBox(layer, fid, box)) found.push(fid)
  return found
}

function meetsBox(layer: Layer, fid: number, box: Box): boolean {
  const [west, south, east, north] = boxOfFeature(layer, fid)
  if (!(west <= box[2] && east >= box[0] && south <= box[3] && north >= box[1])) return false
  if (west >= box[0] && east <= box[2] && south >= box[1] && north <= box[3]) return true
  const { coords, rings, parts, features, kinds } = layer.geometry
  const kind = GEOMETRY_KIND[kinds[fid]!]
  for (let ring = parts[features[fid]!]!; ring < parts[features[fid + 1]!]!; ring++) {
    for (let v = rings[ring]!; v < rings[ring + 1]!; v++) {
      const next = kind === 'point' || v + 1 === rings[ring + 1]! ? v : v + 1
      if (segmentMeetsBox(coords.subarray(2 * v, 2 * v + 2), coords.subarray(2 * next, 2 * next + 2), box)) return true
    }
  }
  // No edge of it crosses the box: it lies around the whole box or beside it.
  return kind === 'polygon' && isInside(multiPolygonOf(layer, fid), box[0], box[1])
}

/** Source: Liang and Barsky (1984), ACM Trans. Graph. 3(1):1-22, with the ends counted in. */
function segmentMeetsBox([x0, y0]: Float64Array, [x1, y1]: Float64Array, [west, south, east, north]: Box): boolean {
  const [dx, dy] = [x1! - x0!, y1! - y0!]
  let [enter, leave] = [0, 1]
  const edges = [
    [-dx, x0! - west],
    [dx, east - x0!],
    [-dy, y0! - south],
    [dy, north - y0!],
  ] as const
  for (const [slope, room] of edges) {
    if (slope === 0 && room < 0) return false
    if (slope < 0) enter = Math.max(enter, room / slope)
    if (slope > 0) leave = Math.min(leave, room / slope)
  }
  return enter <= leave
}
