import type { Circles } from '../../core/geo/index.ts'
import type { MultiPolygon, Ring } from '../../core/model/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { SEED } from './made-data.ts'

/** Finds of radius 15 m in clusters of 125, each cluster an even disc of 32 to 128 m, at random over a square (30 km for 50,000). */
export function makeClusteredDiscs(count: number): Circles {
  const random = createRandom(SEED)
  const side = 30_000 * Math.sqrt(count / 50_000)
  const clusters = Array.from({ length: count / 125 }, () => ({
    x: side * random.next(),
    y: side * random.next(),
    radius: 32 + 96 * random.next(),
  }))
  const discs = { x: new Float64Array(count), y: new Float64Array(count), r: new Float64Array(count).fill(15) }
  for (let i = 0; i < count; i++) {
    const cluster = clusters[random.integer(clusters.length)]!
    const [angle, reach] = [2 * Math.PI * random.next(), cluster.radius * Math.sqrt(random.next())]
    discs.x[i] = cluster.x + reach * Math.cos(angle)
    discs.y[i] = cluster.y + reach * Math.sin(angle)
  }
  return discs
}

/** A five-lobed ring of so many corners. */
function lobed(x: number, y: number, radius: number, corners: number, turn: number): Ring {
  const ring = new Float64Array(2 * corners + 2)
  for (let k = 0; k <= corners; k++) {
    const angle = (2 * Math.PI * (k % corners)) / corners
    const reach = radius * (1 + 0.4 * Math.sin(5 * angle + turn))
    ring[2 * k] = x + reach * Math.cos(angle)
    ring[2 * k + 1] = y + reach * Math.sin(angle)
  }
  return ring
}

/** Patches that do not meet, one to a cell of a square grid over `side` metres. */
export function makePatches(count: number, side: number, corners: number): MultiPolygon {
  const random = createRandom(SEED)
  const columns = Math.ceil(Math.sqrt(count))
  const cell = side / columns
  return Array.from({ length: count }, (_, i) => {
    const radius = cell * (0.1 + 0.2 * random.next())
    const [x, y] = [(i % columns) + 0.45 + 0.1 * random.next(), Math.floor(i / columns) + 0.45 + 0.1 * random.next()]
    return [lobed(x * cell, y * cell, radius, corners, 6 * random.next())]
  })
}
