import { type Layer, multiPathOf, toPlanePaths, toPlanePolygons } from '../geo/index.ts'
import type { Brief, LayerSource, MultiPath, MultiPolygon, PlainDate } from '../model/index.ts'
import type { Gathered } from './gather.ts'
import {
  allPaths,
  allPolygons,
  type DatedShape,
  datedShapes,
  fieldNumber,
  fieldText,
  firstPoint,
  protectedSites,
} from './roles.ts'
import type { GeoTools } from './tools.ts'

/** The side layers of a brief in the form that the questions take them. */
export interface SideInputs {
  /** Degrees. */
  readonly boundary: MultiPolygon | null
  readonly flood: MultiPolygon | null
  readonly protect: MultiPolygon | null
  readonly barriers: readonly Barrier[]
  readonly searched: readonly (DatedShape & { readonly planar: MultiPolygon })[]
  readonly treatments: readonly DatedPlanar[]
  /** Working frame. */
  readonly carriers: MultiPath
  readonly joinBreaks: MultiPolygon | null
}

export interface Barrier {
  readonly id: string
  readonly longitude: number
  readonly latitude: number
  /** Fraction (0-1) of the load that passes. */
  readonly pass: number
}

export interface DatedPlanar {
  readonly date: PlainDate
  readonly planar: MultiPolygon
}

/** Half side of the square that stands for a treatment given as a point, metres (common practice, no source). */
const POINT_TREATMENT_REACH = 10

export function prepareInputs(brief: Brief, gathered: Gathered, tools: GeoTools): SideInputs {
  const { layers } = gathered
  const { frame } = tools
  const searched = datedShapes(layers.searched, brief.layers.searched)
  return {
    boundary: allPolygons(layers.boundary),
    flood: allPolygons(layers.flood),
    protect: protectedSites(layers.protect),
    barriers: layers.barriers ? barriersOf(layers.barriers, brief.layers.barriers) : [],
    searched: searched.map(shape => ({ ...shape, planar: toPlanePolygons(shape.shape, frame) })),
    treatments: datedShapes(layers.treatments, brief.layers.treatments).flatMap(shape => {
      if (shape.date === null) return []
      const planar = shape.point ? squareAbout(shape.point, tools) : toPlanePolygons(shape.shape, frame)
      return planar.length === 0 ? [] : [{ date: shape.date, planar }]
    }),
    carriers: toPlanePaths([...allPaths(layers.carriers), ...gathered.reference.flatMap(allPaths)], frame),
    joinBreaks: buildJoinBreaks(brief, gathered, tools),
  }
}

/** Barrier points of a layer; one without a readable `pass` lets nothing through. */
export function barriersOf(layer: Layer, source: LayerSource | undefined): Barrier[] {
  return Array.from({ length: layer.featureCount }, (_, i) => i).flatMap(i => {
    const point = firstPoint(layer, i)
    if (!point) return []
    const pass = fieldNumber(layer, source, 'pass', i) ?? 0
    return [{ id: fieldText(layer, source, 'id', i) ?? String(i + 1), longitude: point[0], latitude: point[1], pass }]
  })
}

function squareAbout(point: readonly [number, number], { frame }: GeoTools): MultiPolygon {
  const [x, y] = frame.toPlane(point[0], point[1])
  const r = POINT_TREATMENT_REACH
  return [[Float64Array.of(x - r, y - r, x + r, y - r, x + r, y + r, x - r, y + r, x - r, y - r)]]
}

/** What patches are not joined across: a given layer, and water at least as wide as the setting. */
function buildJoinBreaks(brief: Brief, gathered: Gathered, tools: GeoTools): MultiPolygon | null {
  const given = gathered.layers.join_breaks
  const shapes: MultiPolygon[] = []
  const areas = allPolygons(given)
  if (areas) shapes.push(toPlanePolygons(areas, tools.frame))
  const lines = toPlanePaths(allPaths(given), tools.frame)
  // A drawn line has no width of its own; half a metre makes it an edge that nothing crosses.
  if (lines.length > 0) shapes.push(tools.engine.bufferPaths(lines, 0.5, 4))
  shapes.push(...wideWater(brief, gathered, tools))
  return shapes.length === 0 ? null : tools.engine.union(shapes)
}

function wideWater(brief: Brief, gathered: Gathered, { frame, engine }: GeoTools): MultiPolygon[] {
  const layer = gathered.layers.waterways
  if (!layer) return []
  return Array.from({ length: layer.featureCount }, (_, i) => i).flatMap(i => {
    const width = fieldNumber(layer, brief.layers.waterways, 'width_m', i) ?? 0
    if (!(width >= brief.outline.joinWaterWidth)) return []
    return [engine.bufferPaths(toPlanePaths(multiPathOf(layer, i), frame), width / 2, 8)]
  })
}
