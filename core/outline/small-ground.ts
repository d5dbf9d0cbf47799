import { type PolygonEngine, planarArea, planarLength } from '../geo/index.ts'
import type { MultiPolygon, OutlineSettings, Polygon, SquareMetres, Task } from '../model/index.ts'
import type { Disc } from './discs.ts'

/** Ground that a rule on small areas left out of a season's outlines. */
export interface DroppedGround {
  readonly season: string
  readonly rule: 'minimum-area' | 'sliver'
  /** Reports whose patch lost it; with `minimum-area` the whole patch is gone. */
  readonly reportIds: readonly string[]
  /** Gross, ellipsoidal. */
  readonly area: SquareMetres
}

interface Shapes {
  readonly gross: MultiPolygon
  readonly infested: MultiPolygon
}

interface SmallGroundInput {
  readonly discs: readonly Disc[]
  readonly sightings: { readonly season: string }
  readonly settings: OutlineSettings
  readonly engine: PolygonEngine
  readonly areaOf: (shape: MultiPolygon) => SquareMetres
  readonly onDropped: (ground: DroppedGround) => void
}

/**
 * Leaves out pieces of an outline narrower than the sliver width (2 area / length of their rings: the width of a strip), then
 * the whole where less than the minimum area is left. What is left out is told to `onDropped`.
 */
export function dropSmallGround(shapes: Shapes, input: SmallGroundInput): Shapes {
  const { settings, engine, areaOf } = input
  const { minimumArea = 0, sliverWidth = 0 } = settings
  const tell = (rule: DroppedGround['rule'], ground: MultiPolygon) =>
    input.onDropped({
      season: input.sightings.season,
      rule,
      reportIds: input.discs.flatMap(disc => disc.finds.map(find => find.reportId)).sort(),
      area: areaOf(ground),
    })
  const gross = shapes.gross.filter(polygon => widthOf(polygon) >= sliverWidth)
  const slivers = shapes.gross.filter(polygon => widthOf(polygon) < sliverWidth)
  if (slivers.length > 0) tell('sliver', slivers)
  if (minimumArea > 0 && gross.length > 0 && areaOf(gross) < minimumArea) {
    tell('minimum-area', gross)
    return { gross: [], infested: [] }
  }
  if (slivers.length === 0) return shapes
  return { gross, infested: engine.difference(shapes.infested, slivers) }
}

const widthOf = (polygon: Polygon): number =>
  (2 * planarArea([polygon])) / polygon.reduce((sum, ring) => sum + planarLength(ring), 0)

/** One warning a rule and season: small ground goes by the brief's own rule, but never unsaid. */
export function warnOfDropped(season: string, dropped: readonly DroppedGround[], task: Task): void {
  for (const rule of ['sliver', 'minimum-area'] as const) {
    const own = dropped.filter(ground => ground.rule === rule)
    if (own.length === 0) continue
    const area = own.reduce((sum, ground) => sum + ground.area, 0)
    const reports = own.flatMap(ground => ground.reportIds)
    const named = `${reports.slice(0, 5).join(', ')}${reports.length > 5 ? ', ...' : ''}`
    task.warn(
      'outline-ground-dropped',
      rule === 'sliver'
        ? `Season ${season}: pieces narrower than the sliver width were left out of ${own.length} outline(s), ${area.toFixed(1)} m2 in all (reports ${named}).`
        : `Season ${season}: ${own.length} patch(es) below the minimum area were left out, ${area.toFixed(1)} m2 in all (reports ${named}).`,
    )
  }
}
