import { GEOMETRY_KIND, type Layer } from '../geo/index.ts'
import { InputError, type Task } from '../model/index.ts'

/**
 * The paths of a layer of lines: every part of every line, without repeated vertices.
 * Shapes: `coords` longitude, latitude of each vertex; `offsets[p]` the first vertex of path p; `line[p]` its feature.
 */
export interface LinePaths {
  readonly coords: Float64Array
  readonly offsets: Uint32Array
  readonly line: Uint32Array
  readonly pathCount: number
}

/** Takes the paths out of a layer. Errors: InputError for a coordinate that is no place on the globe; other kinds are warned of. */
export function extractLinePaths(layer: Layer, task: Task): LinePaths {
  const { coords, rings, parts, features, kinds } = layer.geometry
  const kept = new Float64Array(coords.length)
  const offsets = new Uint32Array(rings.length)
  const line = new Uint32Array(rings.length)
  const skipped = { otherKinds: 0, points: 0 }
  let used = 0
  let pathCount = 0
  for (let feature = 0; feature < layer.featureCount; feature++) {
    if (GEOMETRY_KIND[kinds[feature]!] !== 'line') {
      if (kinds[feature] !== 0) skipped.otherKinds++
      continue
    }
    const lastRing = parts[features[feature + 1]!]!
    for (let ring = parts[features[feature]!]!; ring < lastRing; ring++) {
      const end = copyDistinct(layer, feature, rings[ring]!, rings[ring + 1]!, kept, used)
      if (end - used < 2) {
        skipped.points++
        continue
      }
      used = end
      line[pathCount] = feature
      offsets[++pathCount] = used
    }
  }
  if (skipped.otherKinds > 0) {
    task.warn(
      'network-not-lines',
      `${skipped.otherKinds} features of layer ${layer.name} are not lines; they were left out.`,
    )
  }
  if (skipped.points > 0) {
    task.warn('network-no-length', `${skipped.points} lines of layer ${layer.name} have no length; they were left out.`)
  }
  return {
    coords: kept.subarray(0, 2 * used),
    offsets: offsets.slice(0, pathCount + 1),
    line: line.slice(0, pathCount),
    pathCount,
  }
}

function copyDistinct(
  layer: Layer,
  feature: number,
  start: number,
  end: number,
  into: Float64Array,
  used: number,
): number {
  const { coords } = layer.geometry
  let at = used
  for (let i = start; i < end; i++) {
    const longitude = coords[2 * i]!
    const latitude = coords[2 * i + 1]!
    if (!(Math.abs(longitude) <= 360 && Math.abs(latitude) <= 90)) {
      throw new InputError({
        code: 'network-not-degrees',
        file: layer.name,
        row: layer.rows[feature] ?? feature + 1,
        reason: 'a vertex is no place on the globe',
        value: `${longitude}, ${latitude}`,
        remedy: 'Give the layer its coordinate reference system, so that it can be turned into longitude and latitude.',
      })
    }
    if (at > used && into[2 * at - 2] === longitude && into[2 * at - 1] === latitude) continue
    into[2 * at] = longitude
    into[2 * at + 1] = latitude
    at++
  }
  return at
}
