import { type PolygonEngine, planarArea } from '../geo/index.ts'
import type { MultiPolygon, Patch, Polygon, Task } from '../model/index.ts'
import { weightedQuantile } from '../stats/index.ts'
import { type BoundaryPoint, walkPart } from './boundary-points.ts'
import { type Bounds, boundsOf, createExtent, type Extent } from './extent.ts'
import type { KnownGround } from './known-ground.ts'

/** What the outlines show between two seasons; distances in metres, positive outward. */
export interface Displacement {
  readonly median: number | null
  /** Over ground that an earlier season had searched; null where none is known. */
  readonly searchedMedian: number | null
  readonly p95: number | null
  readonly max: number | null
  readonly retreatMedian: number | null
  readonly boundaryLength: number
  readonly boundaryPoints: number
  readonly searchedPoints: number
  /** Gross area on ground that no earlier season had searched or outlined, square metres. */
  readonly newlyFoundArea: number
}

/** One season's ground as displacement needs it. */
export interface SeasonExtent {
  readonly patches: readonly Patch[]
  /** Union of the season's patches, without cut-outs where those are known. */
  readonly extent: Extent
}

export interface DisplacementInput {
  readonly older: SeasonExtent
  readonly newer: SeasonExtent
  /** Ground that earlier seasons had looked at. */
  readonly known: KnownGround
  readonly step: number
  readonly engine: PolygonEngine
}

/** Measures the displacement of the newer boundary from the older extent, and of the older from the newer. */
export async function measureDisplacement(input: DisplacementInput, task: Task): Promise<Displacement> {
  const { older, newer, step, engine } = input
  const { searched } = input.known
  await task.step(0, 'Boundary displacement')
  const points = overlappingPoints(newer.patches, older.extent, step, engine)
  const distances = await distancesTo(older.extent, points, task.part(0, 0.5))
  const retreatPoints = overlappingPoints(older.patches, newer.extent, step, engine)
  const retreat = await distancesTo(newer.extent, retreatPoints, task.part(0.5, 0.9))
  await task.step(0.9, 'Newly found ground')
  const onSearched =
    searched === null ? [] : points.flatMap((point, i) => (searched.contains(point.x, point.y) ? [i] : []))
  const at = (p: number) => quantileOrNull(distances, points, p)
  return {
    median: at(0.5),
    searchedMedian: quantileOrNull(
      onSearched.map(i => distances[i]!),
      onSearched.map(i => points[i]!),
      0.5,
    ),
    p95: at(0.95),
    max: at(1),
    retreatMedian: quantileOrNull(retreat, retreatPoints, 0.5),
    boundaryLength: points.reduce((sum, point) => sum + point.weight, 0),
    boundaryPoints: points.length,
    searchedPoints: onSearched.length,
    newlyFoundArea: searched === null ? 0 : newlyFoundArea(input),
  }
}

function quantileOrNull(distances: readonly number[], points: readonly BoundaryPoint[], p: number): number | null {
  if (points.length === 0) return null
  return weightedQuantile(
    distances,
    points.map(point => point.weight),
    p,
  )
}

/** Points of the parts that share ground with the other extent; the rest are new or outlier patches and never pooled. */
function overlappingPoints(
  patches: readonly Patch[],
  other: Extent,
  step: number,
  engine: PolygonEngine,
): BoundaryPoint[] {
  const boxes = other.shape.map(polygon => boundsOf(polygon[0] ?? new Float64Array()))
  return patches
    .flatMap(patch => patch.planar)
    .filter(part => hasSharedGround(part, other, boxes, engine))
    .flatMap(part => walkPart(part, step))
}

function hasSharedGround(part: Polygon, other: Extent, boxes: readonly Bounds[], engine: PolygonEngine): boolean {
  const ring = part[0]
  if (ring === undefined) return false
  const own = boundsOf(ring)
  const near = other.shape.filter((_, i) => boxesMeet(own, boxes[i]!))
  if (near.length === 0) return false
  return planarArea(engine.intersection([part], near)) > 0
}

const boxesMeet = (a: Bounds, b: Bounds): boolean => a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3]

async function distancesTo(extent: Extent, points: readonly BoundaryPoint[], task: Task): Promise<number[]> {
  const distances: number[] = []
  for (const [i, point] of points.entries()) {
    if (i % 2000 === 0) await task.step(i / points.length, 'Boundary displacement')
    distances.push(extent.signedDistance(point.x, point.y))
  }
  return distances
}

/** Each patch's gross area times the share of its ground that nobody had searched or outlined before. */
function newlyFoundArea({ newer, known: { all: known }, engine }: DisplacementInput): number {
  const boxes = known.map(polygon => boundsOf(polygon[0] ?? new Float64Array()))
  return newer.patches.reduce((sum, patch) => {
    const whole = planarArea(patch.planar)
    if (!(whole > 0)) return sum
    const near = known.filter((_, i) => patch.planar.some(part => boxesMeet(boundsOf(part[0]!), boxes[i]!)))
    const fresh = near.length === 0 ? whole : planarArea(engine.difference(patch.planar, near))
    return sum + patch.grossArea * (fresh / whole)
  }, 0)
}

/** The union of a season's patches as an extent. */
export function buildSeasonExtent(
  patches: readonly Patch[],
  engine: PolygonEngine,
  whole?: MultiPolygon,
): SeasonExtent {
  const shape = whole ?? (patches.length === 0 ? [] : engine.union(patches.map(patch => patch.planar)))
  return { patches, extent: createExtent(shape) }
}
