import { buildField } from './noise.ts'
import { distance, type Point, ringArea } from './place.ts'
import { type Block, findBlocks } from './planar-faces.ts'
import { HAMLETS, inFrame, type Road, VILLAGE } from './roads.ts'
import { type Draws, draws } from './seeded.ts'
import { longAxis, splitPolygon } from './split-polygon.ts'
import { exp } from './steady-math.ts'
import type { Stream } from './streams.ts'

/** A piece of land under one title, before owners are known; rings as UTM metres, outer first. */
export interface Lot extends Block {
  readonly kind: 'village' | 'homestead' | 'farm'
}

/** Cuts the county into lots: blocks between roads and creeks, then lots that front on them. */
export function buildLots(roads: readonly Road[], streams: readonly Stream[], boundary: readonly Point[]): Lot[] {
  const random = draws('lots')
  const creeks = streams.flatMap(stream => {
    const start = stream.area.findIndex(area => area > 1.6e6)
    return start < 0 ? [] : [{ points: stream.points.slice(start), kind: 'water' as const }]
  })
  const ways = roads.map(road => ({ points: road.points, kind: 'road' as const }))
  const blocks = findBlocks([...ways, ...creeks], boundary, 900)
  const wildness = buildField('size of holdings', 1700)
  return blocks.flatMap(block => divide(block, random, wildness))
}

const closeness = (at: Point, place: Point, scale: number): number =>
  exp(-(distance(at, place) ** 2) / (2 * scale * scale))

/** How settled a place is: 1 at the middle of the village, 0.6 at a hamlet, 0 far off. */
function settledness(at: Point): number {
  let most = closeness(at, inFrame(VILLAGE), 390)
  for (const hamlet of HAMLETS) most = Math.max(most, 0.75 * closeness(at, inFrame(hamlet), 150))
  return most
}

function divide(block: Block, random: Draws, wildness: (x: number, y: number) => number): Lot[] {
  const area = ringArea(block.ring)
  const box = longAxis(block)
  const settled = settledness(box.centre)
  if (area < 26_000 && settled > 0.34 && roadShare(block) > 0.3) return divideVillageBlock(block, random)
  const rough = 1 + 0.9 * wildness(...box.centre)
  const target = settled > 0.12 ? random.around(9000, 0.5) : random.around(82_000 * rough + 14_000, 0.75)
  const isLong = box.long > 3.2 * box.short && area > 9000
  if (area < target * 1.35 && !isLong) return finish(block, random)
  const pieces = halve(block, random)
  if (pieces.length < 2) return finish(block, random)
  return pieces.flatMap(piece => divide(piece, random, wildness))
}

function roadShare(block: Block): number {
  let [road, all] = [0, 0]
  block.ring.forEach((a, i) => {
    const length = distance(a, block.ring[(i + 1) % block.ring.length] as Point)
    all += length
    if (block.edges[i] === 'road') road += length
  })
  return road / all
}

/** Cuts across the long axis, squarely to a road or creek that runs nearly along it. */
function halve(block: Block, random: Draws): Block[] {
  const box = longAxis(block)
  const share = random.between(-0.16, 0.16) * box.long
  const at: Point = [box.centre[0] + box.heading[0] * share, box.centre[1] + box.heading[1] * share]
  const front = frontageNear(block, at, box.heading)
  const across: Point = front ? [-front[1], front[0]] : [-box.heading[1], box.heading[0]]
  const pieces = splitPolygon(block, at, across)
  const least = Math.min(...pieces.map(piece => ringArea(piece.ring)))
  return least < 1100 && pieces.length > 1 ? [block] : pieces
}

/** Direction of the road (else creek) edge nearest to a place, if within 40 degrees of the heading. */
function frontageNear(block: Block, at: Point, heading: Point): Point | undefined {
  let best: Point | undefined
  let least = Number.POSITIVE_INFINITY
  block.ring.forEach((a, i) => {
    if (block.edges[i] === 'line') return
    const b = block.ring[(i + 1) % block.ring.length] as Point
    const length = distance(a, b)
    if (length < 8) return
    const direction: Point = [(b[0] - a[0]) / length, (b[1] - a[1]) / length]
    if (Math.abs(direction[0] * heading[0] + direction[1] * heading[1]) < 0.77) return
    const along = Math.abs(((a[0] + b[0]) / 2 - at[0]) * heading[0] + ((a[1] + b[1]) / 2 - at[1]) * heading[1])
    const away = along + (block.edges[i] === 'water' ? 60 : 0)
    if (away < least) {
      least = away
      best = direction
    }
  })
  return best
}

/** Two rows back to back, each cut into lots of a house's width. */
function divideVillageBlock(block: Block, random: Draws): Lot[] {
  const box = longAxis(block)
  const rows =
    box.short > 48 ? splitPolygon(block, [box.centre[0] + random.between(-4, 4), box.centre[1]], box.heading) : [block]
  if (rows.some(row => ringArea(row.ring) < 260)) return [{ ...block, kind: 'village' }]
  return rows
    .flatMap(row => slice(row, random.around(33, 0.22), random))
    .map(lot => ({ ...lot, kind: 'village' as const }))
}

/** Cuts a row across until its lots are about as wide as asked. */
function slice(row: Block, width: number, random: Draws): Block[] {
  const box = longAxis(row)
  if (box.long < 1.6 * width || ringArea(row.ring) < 900) return [row]
  const share = random.between(-0.08, 0.08) * box.long
  const at: Point = [box.centre[0] + box.heading[0] * share, box.centre[1] + box.heading[1] * share]
  const pieces = splitPolygon(row, at, [-box.heading[1], box.heading[0]])
  if (pieces.length < 2 || pieces.some(piece => ringArea(piece.ring) < 260)) return [row]
  return pieces.flatMap(piece => slice(piece, width, random))
}

/** A farm may have sold a strip of house lots along its road. */
function finish(block: Block, random: Draws): Lot[] {
  const front = longestFront(block)
  const area = ringArea(block.ring)
  if (!front || area < 14_000 || !random.chance(0.46)) return [{ ...block, kind: area < 9000 ? 'homestead' : 'farm' }]
  const depth = random.between(62, 120)
  // The front keeps its left-hand side: rings run anticlockwise, so the land lies to the left of each edge.
  const at: Point = [front.at[0] - front.heading[1] * depth, front.at[1] + front.heading[0] * depth]
  const pieces = splitPolygon(block, at, front.heading)
  if (pieces.length !== 2 || pieces.some(piece => ringArea(piece.ring) < 3000)) return [{ ...block, kind: 'farm' }]
  const isStrip = (piece: Block) => piece.ring.some(p => distance(p, front.corner) < 0.001)
  return pieces.flatMap((piece): Lot[] => {
    if (!isStrip(piece) || ringArea(piece.ring) > 42_000) return [{ ...piece, kind: 'farm' }]
    return slice(piece, random.around(58, 0.3), random).map(lot => ({ ...lot, kind: 'homestead' }))
  })
}

/** The longest nearly straight stretch of road along a lot: its middle, its direction and its first corner. */
function longestFront(block: Block): { at: Point; heading: Point; corner: Point } | undefined {
  let best: { at: Point; heading: Point; corner: Point } | undefined
  let most = 70
  const n = block.ring.length
  for (let i = 0; i < n; i++) {
    if (block.edges[i] !== 'road') continue
    const a = block.ring[i] as Point
    for (let k = 1; k < n && block.edges[(i + k - 1) % n] === 'road'; k++) {
      const b = block.ring[(i + k) % n] as Point
      const length = distance(a, b)
      if (length > most && length < 420 && isStraight(block, i, k)) {
        most = length
        best = {
          at: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2],
          heading: [(b[0] - a[0]) / length, (b[1] - a[1]) / length],
          corner: a,
        }
      }
    }
  }
  return best
}

function isStraight(block: Block, from: number, steps: number): boolean {
  const n = block.ring.length
  const [a, b] = [block.ring[from] as Point, block.ring[(from + steps) % n] as Point]
  const length = distance(a, b)
  for (let k = 1; k < steps; k++) {
    const p = block.ring[(from + k) % n] as Point
    if (Math.abs((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / length > 14) return false
  }
  return true
}
