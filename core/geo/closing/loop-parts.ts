import type { Ring } from '../../model/geometry.ts'
import { sortPolygons } from '../normal-order.ts'
import { boxOf, isInside } from '../planar.ts'
import type { Circles } from './circles.ts'
import type { Closing } from './closing-engine.ts'

/** A ring of a closing: area positive for an outer ring, negative for a hole. */
export interface LoopRing {
  readonly ring: Ring
  readonly area: number
  /** Known to bound a part that holds a disc, because an arc of a disc is on it. */
  readonly holdsDisc: boolean
}

/** Rings, outer ones counter-clockwise and holes clockwise, each from its lowest vertex, as polygons in normal order; parts in which no disc lies are left out and counted. */
export function partsOfLoops(rings: readonly LoopRing[], discs: Circles): Closing {
  if (rings.length === 1 && rings[0]!.holdsDisc) return { shape: [[rings[0]!.ring]], emptyParts: 0 }
  const outers = rings.filter(({ area }) => area > 0).sort((a, b) => b.area - a.area)
  const holes = rings.filter(({ area }) => area < 0).sort((a, b) => a.area - b.area)
  const polygons = outers.map(({ ring }) => [ring])
  if (polygons.length === 1) polygons[0]!.push(...holes.map(({ ring }) => ring))
  else if (holes.length > 0) placeHoles(holes, polygons)
  const shape = polygons.filter((polygon, i) => outers[i]!.holdsDisc || holdsAnyDisc(polygon, discs))
  return { shape: sortPolygons(shape), emptyParts: polygons.length - shape.length }
}

/** Gives each hole to the smallest part whose outer ring goes round it; `polygons` stand in order of falling area. */
function placeHoles(holes: readonly LoopRing[], polygons: readonly Ring[][]): void {
  const boxes = polygons.map(polygon => boxOf([polygon])!)
  for (const { ring } of holes) {
    const [x, y] = [ring[0]!, ring[1]!]
    for (let i = polygons.length - 1; i >= 0; i--) {
      const [west, south, east, north] = boxes[i]!
      if (!(x >= west && x <= east && y >= south && y <= north)) continue
      if (!isInside([polygons[i]!.slice(0, 1)], x, y)) continue
      polygons[i]!.push(ring)
      break
    }
  }
}

function holdsAnyDisc(polygon: readonly Ring[], discs: Circles): boolean {
  return discs.x.some((x, i) => isInside([polygon], x, discs.y[i]!))
}
