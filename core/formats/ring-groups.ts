import { isInside as isInsideShape, signedRingArea } from '../geo/index.ts'

/** Polygons of one shape, each outer ring (counter-clockwise) first and its holes (clockwise) after it. */
export interface RingGroups {
  readonly polygons: readonly (readonly Float64Array[])[]
  /** Holes without an outer ring around them; each is given as a polygon of its own. */
  readonly orphans: number
}

/**
 * Sorts the rings of a Shapefile polygon (outer clockwise, holes counter-clockwise, in any order) into polygons:
 * a hole goes to the smallest outer ring around it. Rings that all wind the other way are read as outer rings.
 * Accuracy and cost: quadratic in the rings of one shape, by bounding boxes first.
 */
export function groupRings(rings: readonly Float64Array[]): RingGroups {
  if (rings.length === 1) return { polygons: [[orient(rings[0]!, true)]], orphans: 0 }
  const measured = rings.map(ring => ({
    ring,
    area: signedRingArea(ring),
    box: boxOf(ring),
    holes: [] as Float64Array[],
  }))
  let outers = measured.filter(entry => entry.area <= 0)
  let holes = measured.filter(entry => entry.area > 0)
  if (outers.length === 0) [outers, holes] = [holes, outers]
  let orphans = 0
  const alone: Float64Array[][] = []
  for (const hole of holes) {
    let best: (typeof outers)[number] | undefined
    for (const outer of outers) {
      const isSmaller = best === undefined || Math.abs(outer.area) < Math.abs(best.area)
      if (isSmaller && isInside(hole, outer)) best = outer
    }
    if (best) best.holes.push(orient(hole.ring, false))
    else {
      orphans++
      alone.push([orient(hole.ring, true)])
    }
  }
  return { polygons: [...outers.map(outer => [orient(outer.ring, true), ...outer.holes]), ...alone], orphans }
}

interface MeasuredRing {
  readonly ring: Float64Array
  readonly area: number
  readonly box: readonly [number, number, number, number]
}

function isInside(inner: MeasuredRing, outer: MeasuredRing): boolean {
  const [a, b] = [inner.box, outer.box]
  if (a[0] < b[0] || a[1] < b[1] || a[2] > b[2] || a[3] > b[3]) return false
  // A vertex may lie on the outer ring; the middle of an edge seldom does as well, so the majority of three decides.
  let votes = 0
  const last = inner.ring.length / 2 - 1
  for (const share of [0, 1 / 3, 2 / 3]) {
    const i = 2 * Math.floor(share * last)
    const x = (inner.ring[i]! + inner.ring[i + 2]!) / 2
    const y = (inner.ring[i + 1]! + inner.ring[i + 3]!) / 2
    if (isInsideShape([[outer.ring]], x, y)) votes++
  }
  return votes >= 2
}

/** The ring itself, or its reverse, so that it winds counter-clockwise (or clockwise). */
export function orient(ring: Float64Array, isCounterClockwise: boolean): Float64Array {
  if (signedRingArea(ring) >= 0 === isCounterClockwise) return ring
  const reversed = new Float64Array(ring.length)
  for (let i = 0; i < ring.length; i += 2) {
    reversed[i] = ring[ring.length - 2 - i]!
    reversed[i + 1] = ring[ring.length - 1 - i]!
  }
  return reversed
}

function boxOf(ring: Float64Array): [number, number, number, number] {
  const box: [number, number, number, number] = [ring[0]!, ring[1]!, ring[0]!, ring[1]!]
  for (let i = 0; i < ring.length; i += 2) {
    box[0] = Math.min(box[0], ring[i]!)
    box[1] = Math.min(box[1], ring[i + 1]!)
    box[2] = Math.max(box[2], ring[i]!)
    box[3] = Math.max(box[3], ring[i + 1]!)
  }
  return box
}
