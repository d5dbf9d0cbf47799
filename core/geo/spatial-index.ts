/// <reference path="./flatbush.d.ts" />
import Flatbush from 'flatbush'
import type { Box } from '../model/geometry.ts'

/** A static index over boxes in the plane; items are numbered as they were given. */
export interface BoxIndex {
  readonly size: number
  /** Items whose boxes meet or touch the box, in ascending order. */
  search(box: Box): number[]
  /**
   * Up to `count` items by distance from the point to their boxes, nearest first, none farther than `maxDistance`.
   * Equal distances come in ascending order of item, but which of them make the count is the index's choice.
   */
  neighbours(x: number, y: number, count?: number, maxDistance?: number): number[]
}

/**
 * Shapes: min x, min y, max x, max y of every box in turn.
 * Absent: a box with NaN is never found. Accuracy and cost: exact; n log n to build, log n plus what is found to ask.
 */
export function createBoxIndex(boxes: Float64Array): BoxIndex {
  const size = boxes.length / 4
  if (!Number.isInteger(size)) throw new Error(`A box has four numbers; ${boxes.length} were given`)
  // NaN would poison the bounds of the whole tree, so only boxes that are boxes go in.
  const items: number[] = []
  for (let i = 0; i < size; i++) {
    if (boxes[4 * i]! <= boxes[4 * i + 2]! && boxes[4 * i + 1]! <= boxes[4 * i + 3]!) items.push(i)
  }
  if (items.length === 0) return { size, search: () => [], neighbours: () => [] }
  const tree = new Flatbush(items.length, 16, Float64Array)
  for (const i of items) tree.add(boxes[4 * i]!, boxes[4 * i + 1]!, boxes[4 * i + 2]!, boxes[4 * i + 3]!)
  tree.finish()
  const distanceTo = (item: number, x: number, y: number): number => {
    const dx = Math.max(boxes[4 * item]! - x, x - boxes[4 * item + 2]!, 0)
    const dy = Math.max(boxes[4 * item + 1]! - y, y - boxes[4 * item + 3]!, 0)
    return Math.hypot(dx, dy)
  }
  return {
    size,
    search: ([minX, minY, maxX, maxY]) =>
      tree
        .search(minX, minY, maxX, maxY)
        .map(found => items[found]!)
        .sort((a, b) => a - b),
    neighbours(x, y, count = Number.POSITIVE_INFINITY, maxDistance = Number.POSITIVE_INFINITY) {
      return (
        tree
          // The tree compares squares, which round: a little more is asked for, and the distances decide.
          .neighbors(x, y, count, maxDistance * (1 + 1e-12))
          .map(found => ({ item: items[found]!, distance: distanceTo(items[found]!, x, y) }))
          .filter(({ distance }) => distance <= maxDistance)
          .sort((a, b) => a.distance - b.distance || a.item - b.item)
          .map(({ item }) => item)
      )
    },
  }
}
