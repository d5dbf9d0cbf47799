import type { Box, Polygon, Ring } from '../../model/geometry.ts'
import { normalPolygons } from '../normal-order.ts'
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

interface BoxedRing extends LoopRing {
  readonly box: Box
}

/** Rings as polygons in normal order; parts in which no disc lies are left out and counted. */
export function partsOfLoops(rings: readonly LoopRing[], discs: Circles): Closing {
  const outers = rings
    .filter(({ area }) => area > 0)
    .map(entry => ({ ...entry, box: boxOf([[entry.ring]])! }))
    .sort((a, b) => b.area - a.area)
  const holes = rings.filter(({ area }) => area < 0).sort((a, b) => a.area - b.area)
  const polygons = outers.map(({ ring }) => [ring])
  for (const hole of holes) homeOf(hole.ring, outers, polygons)?.push(hole.ring)
  const shape: Polygon[] = polygons.filter((polygon, i) => outers[i]!.holdsDisc || holdsAnyDisc(polygon, discs))
  return { shape: normalPolygons(shape), emptyParts: polygons.length - shape.length }
}

/** The smallest part whose outer ring goes round the hole. */
function homeOf(hole: Ring, outers: readonly BoxedRing[], polygons: Ring[][]): Ring[] | undefined {
  if (outers.length === 1) return polygons[0]
  const [x, y] = [hole[0]!, hole[1]!]
  for (let i = outers.length - 1; i >= 0; i--) {
    const { ring, box } = outers[i]!
    const isNear = x >= box[0] && x <= box[2] && y >= box[1] && y <= box[3]
    if (isNear && isInside([[ring]], x, y)) return polygons[i]
  }
  return undefined
}

function holdsAnyDisc(polygon: readonly Ring[], discs: Circles): boolean {
  return discs.x.some((x, i) => isInside([polygon], x, discs.y[i]!))
}
