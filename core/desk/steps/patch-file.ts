import {
  columnValue,
  findColumn,
  type Layer,
  measureArea,
  multiPolygonOf,
  toPlanePolygons,
  type WorkingFrame,
} from '../../geo/index.ts'
import { InputError, type Patch, squareMetres } from '../../model/index.ts'

/** Patches out of a polygon file, by our own property names; what a file does not say is taken from its geometry. */
export function patchesOfLayer(layer: Layer, frame: WorkingFrame, file: string): Patch[] {
  const value = (name: string, i: number) => {
    const column = findColumn(layer, name)
    return column ? columnValue(column, i) : null
  }
  const number = (name: string, i: number) => {
    const given = value(name, i)
    return given === null || given === '' || !Number.isFinite(Number(given)) ? null : Number(given)
  }
  return Array.from({ length: layer.featureCount }, (_, i) => i).map((i): Patch => {
    const outline = multiPolygonOf(layer, i)
    if (outline.length === 0) {
      throw new InputError({
        code: 'patch-no-polygon',
        file,
        row: layer.rows[i]!,
        reason: 'A patch must be a polygon',
        remedy: 'Give a file of polygons, such as patches.geojson.',
      })
    }
    const planar = toPlanePolygons(outline, frame)
    const gross = number('gross_area_m2', i) ?? measureArea(outline)
    const season = value('season', i)
    return {
      season: season === null ? '' : String(season),
      id: String(value('patch_id', i) ?? layer.rows[i]!),
      reportIds: [],
      planar,
      outline,
      infestedPlanar: planar,
      grossArea: squareMetres(gross),
      infestedArea: squareMetres(number('infested_area_m2', i) ?? measureArea(outline)),
      netCanopy: null,
      coverKnownShare: 0,
      measuredShare: 0,
      defaultShare: 0,
      infillShare: 1,
      grossInterval: null,
      infestedInterval: null,
      firstSeen: String(value('first_seen', i) ?? ''),
      lastSeen: String(value('last_seen', i) ?? ''),
      isConfirmed: true,
    }
  })
}

/** The one layer of a reading that has features of a kind. Errors: InputError where there is none. */
export function layerOfKind(layers: readonly Layer[], kind: 'polygon' | 'line' | 'point', file: string): Layer {
  const found = layers.find(layer => layer.kind === kind || layer.kind === 'mixed')
  if (found) return found
  throw new InputError({
    code: 'layer-kind',
    file,
    reason: `The file holds no ${kind} layer`,
    remedy: `It holds: ${layers.map(layer => `${layer.name} (${layer.kind})`).join(', ') || 'nothing'}.`,
  })
}
