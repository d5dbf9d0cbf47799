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

/** Builds the grid. Cost: a search looks at the cells that its reach touches. */
export function createCellGrid<T extends Place>(places: readonly T[], cell: number): CellGrid<T> {
  const cells = new Map<string, number[]>()
  for (const [i, { x, y }] of places.entries()) {
    const key = `${Math.floor(x / cell)} ${Math.floor(y / cell)}`
    const list = cells.get(key)
    if (list) list.push(i)
    else cells.set(key, [i])
  }
  const within = (x: number, y: number, reach: number): T[] => {
    const found: number[] = []
    const [low, high] = [Math.floor((y - reach) / cell), Math.floor((y + reach) / cell)]
    for (let column = Math.floor((x - reach) / cell); column <= Math.floor((x + reach) / cell); column++) {
      for (let row = low; row <= high; row++) found.push(...(cells.get(`${column} ${row}`) ?? []))
    }
    return found
      .sort((a, b) => a - b)
      .map(i => places[i]!)
      .filter(place => Math.hypot(place.x - x, place.y - y) <= reach)
  }
  const nearestOf = (found: readonly T[], x: number, y: number) =>
    found.reduce((best, place) => Math.min(best, Math.hypot(place.x - x, place.y - y)), Number.POSITIVE_INFINITY)
  return {
    within,
    nearestDistance(x, y) {
      for (let reach = 2 * cell; reach <= WIDEST * cell; reach *= 2) {
        const nearest = nearestOf(within(x, y, reach), x, y)
        if (nearest <= reach) return nearest
      }
      return nearestOf(places, x, y)
    },
  }
}

/** Cells of reach past which all places are looked at instead. */
const WIDEST = 32
