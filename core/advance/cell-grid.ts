/** Places in a square grid, so that those near a place are found without looking at all. */
export interface CellGrid<T> {
  /** Places within `reach` of one, in the order they were given. */
  within(x: number, y: number, reach: number): T[]
  /** Metres to the nearest; Infinity of none. */
  nearestDistance(x: number, y: number): number
}

interface Place {
  readonly x: number
  readonly y: number
}

/** Rings of cells past which all places are looked at instead. */
const MOST_RINGS = 64
/** More rows than any frame has cells; columns and rows make one number. */
const STRIDE = 2 ** 26

/** Builds the grid. Cost: a search looks at the cells that its reach touches. */
export function createCellGrid<T extends Place>(places: readonly T[], cell: number): CellGrid<T> {
  const cells = new Map<number, number[]>()
  const at = (column: number, row: number) => cells.get(column * STRIDE + row) ?? []
  for (const [i, { x, y }] of places.entries()) {
    const key = Math.floor(x / cell) * STRIDE + Math.floor(y / cell)
    const list = cells.get(key)
    if (list) list.push(i)
    else cells.set(key, [i])
  }
  return {
    within(x, y, reach) {
      const found: number[] = []
      const [left, right] = [Math.floor((x - reach) / cell), Math.floor((x + reach) / cell)]
      const [low, high] = [Math.floor((y - reach) / cell), Math.floor((y + reach) / cell)]
      for (let column = left; column <= right; column++) {
        for (let row = low; row <= high; row++) {
          for (const i of at(column, row)) if (distanceTo(places[i]!, x, y) <= reach) found.push(i)
        }
      }
      return found.sort((a, b) => a - b).map(i => places[i]!)
    },
    nearestDistance(x, y) {
      const [column, row] = [Math.floor(x / cell), Math.floor(y / cell)]
      let best = Number.POSITIVE_INFINITY
      for (let ring = 0; ring <= MOST_RINGS; ring++) {
        for (const [dx, dy] of ringOf(ring)) {
          for (const i of at(column + dx, row + dy)) best = Math.min(best, distanceTo(places[i]!, x, y))
        }
        if (best <= ring * cell) return best
      }
      return places.reduce((least, place) => Math.min(least, distanceTo(place, x, y)), best)
    },
  }
}

const distanceTo = (place: Place, x: number, y: number): number => Math.hypot(place.x - x, place.y - y)

/** Steps to the cells of a square ring. */
function* ringOf(ring: number): Generator<readonly [number, number]> {
  if (ring === 0) yield [0, 0]
  for (let k = -ring; k < ring; k++) {
    yield [k, -ring]
    yield [ring, k]
    yield [-k, ring]
    yield [-ring, -k]
  }
}
