import { boxOf } from '../../geo/index.ts'
import type { MultiPolygon } from '../../model/geometry.ts'

/** Bands that the latitudes of a shape are cut into: each test then looks at the edges of one band alone. */
const BANDS = 512

/** A test whether a place lies in a shape (even-odd rule over all rings), fast for many places. */
export function createInsideTest(shape: MultiPolygon): (x: number, y: number) => boolean {
  const box = boxOf(shape)
  if (box === undefined) return () => false
  const [west, south, east, north] = box
  const height = (north - south) / BANDS || 1
  const bandOf = (y: number) => Math.min(BANDS - 1, Math.max(0, Math.floor((y - south) / height)))
  const bands = Array.from({ length: BANDS }, () => [] as number[])
  for (const ring of shape.flat()) {
    for (let i = 0; i + 3 < ring.length; i += 2) {
      const [x0, y0, x1, y1] = [ring[i]!, ring[i + 1]!, ring[i + 2]!, ring[i + 3]!]
      for (let band = bandOf(Math.min(y0, y1)); band <= bandOf(Math.max(y0, y1)); band++)
        bands[band]!.push(x0, y0, x1, y1)
    }
  }
  return (x, y) => {
    if (!(x >= west && x <= east && y >= south && y <= north)) return false
    const edges = bands[bandOf(y)]!
    let isIn = false
    for (let i = 0; i < edges.length; i += 4) {
      const [x0, y0, x1, y1] = [edges[i]!, edges[i + 1]!, edges[i + 2]!, edges[i + 3]!]
      if (y0 > y !== y1 > y && x < x0 + ((x1 - x0) * (y - y0)) / (y1 - y0)) isIn = !isIn
    }
    return isIn
  }
}
