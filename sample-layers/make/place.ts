/** Where the county lies: metres of UTM zone 23N (EPSG:32623), in open ocean. Everything is made in this frame. */
export type Point = readonly [number, number]

/** The frame of the terrain: south-west corner, width and height in metres. */
export const FRAME = { west: 421_300, south: 3_946_200, width: 13_000, height: 10_000 } as const

export const distance = (a: Point, b: Point): number => {
  const [dx, dy] = [a[0] - b[0], a[1] - b[1]]
  return Math.sqrt(dx * dx + dy * dy)
}

export const between = (a: Point, b: Point, t: number): Point => [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]

/** Signed area of a ring (closed or not), positive when it runs anticlockwise. */
export function ringArea(ring: readonly Point[]): number {
  let sum = 0
  for (let i = 0; i < ring.length; i++) {
    const a = ring[i] as Point
    const b = ring[(i + 1) % ring.length] as Point
    // Offsets keep the products small: UTM northings squared would cost the last centimetres.
    sum += (a[0] - FRAME.west) * (b[1] - FRAME.south) - (b[0] - FRAME.west) * (a[1] - FRAME.south)
  }
  return sum / 2
}

/** Whether a point lies in a ring, by crossings. */
export function isInRing(point: Point, ring: readonly Point[]): boolean {
  let inside = false
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const a = ring[i] as Point
    const b = ring[j] as Point
    if (a[1] > point[1] !== b[1] > point[1] && point[0] < ((b[0] - a[0]) * (point[1] - a[1])) / (b[1] - a[1]) + a[0])
      inside = !inside
  }
  return inside
}

/** The nearest place on a line: how far it is from the point, how far along it lies, and where. */
export function nearestOnLine(point: Point, line: readonly Point[]): { away: number; along: number; at: Point } {
  const [px, py] = point
  let [least, along, run] = [Number.POSITIVE_INFINITY, 0, 0]
  let [x, y] = point
  for (let i = 0; i + 1 < line.length; i++) {
    const [ax, ay] = line[i] as Point
    const [bx, by] = line[i + 1] as Point
    const [dx, dy] = [bx - ax, by - ay]
    const square = dx * dx + dy * dy
    const t = square === 0 ? 0 : Math.min(1, Math.max(0, ((px - ax) * dx + (py - ay) * dy) / square))
    const [ox, oy] = [px - ax - t * dx, py - ay - t * dy]
    const away = ox * ox + oy * oy
    const length = Math.sqrt(square)
    if (away < least) {
      least = away
      along = run + t * length
      x = ax + t * dx
      y = ay + t * dy
    }
    run += length
  }
  return { away: Math.sqrt(least), along, at: [x, y] }
}

export function lineLength(line: readonly Point[]): number {
  let sum = 0
  for (let i = 0; i + 1 < line.length; i++) sum += distance(line[i] as Point, line[i + 1] as Point)
  return sum
}

/** The place at a distance along a line (clamped to its ends) and the unit direction there. */
export function placeAlong(line: readonly Point[], along: number): { at: Point; heading: Point } {
  let left = Math.max(0, along)
  for (let i = 0; i + 1 < line.length; i++) {
    const a = line[i] as Point
    const b = line[i + 1] as Point
    const length = distance(a, b)
    if (left <= length || i + 2 === line.length) {
      const t = length === 0 ? 0 : Math.min(1, left / length)
      return { at: between(a, b, t), heading: [(b[0] - a[0]) / length, (b[1] - a[1]) / length] }
    }
    left -= length
  }
  return { at: line[0] as Point, heading: [1, 0] }
}

/** The piece of a line from one distance along it to another. */
export function lineBetween(line: readonly Point[], from: number, to: number): Point[] {
  const piece: Point[] = [placeAlong(line, from).at]
  let run = 0
  for (let i = 0; i + 1 < line.length; i++) {
    run += distance(line[i] as Point, line[i + 1] as Point)
    if (run > from + 0.01 && run < to - 0.01) piece.push(line[i + 1] as Point)
  }
  piece.push(placeAlong(line, to).at)
  return piece
}
