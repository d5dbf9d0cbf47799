import { boxOf, createBoxIndex } from '../geo/index.ts'
import type { Box, MultiPolygon, PlainDate } from '../model/index.ts'

/** Ground that was searched and found clear on a day, given with an extent. Working frame. */
export interface ClearGround {
  readonly date: PlainDate
  readonly planar: MultiPolygon
}

/** The clear ground in a box, with its day, in the order given. */
export type ClearGroundFinder = (box: Box) => readonly ClearGround[]

/** Indexes clear ground polygon by polygon. */
export function indexClearGround(ground: readonly ClearGround[]): ClearGroundFinder {
  const pieces = ground.flatMap(({ date, planar }) => planar.map(polygon => ({ date, planar: [polygon] })))
  const boxes = pieces.flatMap(({ planar }) => boxOf(planar) ?? [Number.NaN, Number.NaN, Number.NaN, Number.NaN])
  const index = createBoxIndex(Float64Array.from(boxes))
  return box => index.search(box).map(i => pieces[i]!)
}
