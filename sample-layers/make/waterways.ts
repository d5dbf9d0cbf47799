import { type Feature, lineFeature, pointFeature } from './globe.ts'
import { distance, lineBetween, lineLength, nearestOnLine, type Point, placeAlong } from './place.ts'
import { draws } from './seeded.ts'
import { sin, TAU } from './steady-math.ts'
import { channelWidth, type Stream } from './streams.ts'

/** A piece of a watercourse between two places where lines meet; points run with the flow. */
export interface Link {
  id: string
  stream: number
  points: Point[]
  width: number
  top: number
  foot: number
  area: number
  share: number | null
  isOutlet: boolean
}

export interface PlantedWater {
  reversed_lines: string[]
  gaps: { line_id: string; metres: number }[]
  near_misses: { line_id: string; metres: number }[]
  crossings: { line_id: string; crosses: string }[]
  braid: { main: string; side: string; share_main: number; share_side: number }
  outlet_line: string
  unmarked_ends: string[]
  against_lines: string[]
  without_direction: string[]
}

export interface Waterways {
  readonly links: readonly Link[]
  readonly features: readonly Feature[]
  readonly barriers: readonly Feature[]
  readonly planted: PlantedWater
  readonly names: readonly string[]
}

const NAMES = [
  'Wennet River',
  'Tamsel Creek',
  'North Fork',
  'Gannerby Run',
  'Ostermoor Brook',
  'Quenby Creek',
  'Highgarth Branch',
  'Fennimoor Creek',
  'Plovermoss Run',
  'Marl Brook',
  'Sedgewell Run',
  'Pinfold Branch',
  'Cinder Brook',
  'Hurdle Run',
] as const

/** The water of the county as a map maker would have digitised it, with the faults that such layers have. */
export function buildWaterways(streams: readonly Stream[], weirAlong: number): Waterways {
  const names = nameStreams(streams)
  const links = cutLinks(streams)
  const random = draws('waterways')
  const planted = emptyPlanted()
  const braided = addBraid(links, planted)
  const outlet = links.find(link => link.stream === 0 && link.isOutlet) as Link
  planted.outlet_line = outlet.id
  planted.unmarked_ends = links.filter(link => link.isOutlet && link.stream !== 0).map(link => link.id)
  trimHeads(braided, streams)
  const tributaries = braided.filter(
    link => link.stream > 1 && lineLength(link.points) > 160 && isMouth(link, streams) && !link.isOutlet,
  )
  const chosen = random.shuffled(tributaries)
  const small = chosen.filter(link => link.area < 1.2e6)
  planted.gaps = openGaps(small, braided)
  for (const link of chosen.filter(l => planted.gaps.every(gap => gap.line_id !== l.id)).slice(0, 5))
    planted.near_misses.push({ line_id: link.id, metres: shorten(link, random.between(0.5, 1.5)) })
  const taken = new Set([...planted.gaps, ...planted.near_misses].map(fault => fault.line_id))
  const rest = chosen.filter(link => !taken.has(link.id))
  planted.reversed_lines = rest.slice(0, 2).map(link => link.id)
  planted.against_lines = rest.slice(2, 6).map(link => link.id)
  const ditches = addDitches(braided, planted)
  const features = [...braided, ...ditches].map(link => describe(link, names, planted, random))
  return { links: braided, features, barriers: [weir(streams, weirAlong)], planted, names }
}

const emptyPlanted = (): PlantedWater => ({
  reversed_lines: [],
  gaps: [],
  near_misses: [],
  crossings: [],
  braid: { main: '', side: '', share_main: 0.7, share_side: 0.3 },
  outlet_line: '',
  unmarked_ends: [],
  against_lines: [],
  without_direction: [],
})

/** Names of the longest streams; the rest stay unnamed. */
function nameStreams(streams: readonly Stream[]): string[] {
  const byLength = streams
    .map((_, i) => i)
    .slice(3)
    .sort((a, b) => lineLength((streams[b] as Stream).points) - lineLength((streams[a] as Stream).points) || a - b)
  const names = streams.map(() => '')
  ;[0, 1, 2, ...byLength].slice(0, NAMES.length).forEach((stream, k) => {
    names[stream] = NAMES[k] as string
  })
  return names
}

function cutLinks(streams: readonly Stream[]): Link[] {
  const links: Link[] = []
  streams.forEach((stream, s) => {
    const cuts = new Set([0, stream.points.length - 1])
    for (const other of streams) if (other.joins === s) cuts.add(other.joinsAt)
    const sorted = [...cuts].sort((a, b) => a - b)
    for (let k = 0; k + 1 < sorted.length; k++) {
      const [from, to] = [sorted[k] as number, sorted[k + 1] as number]
      const isLast = to === stream.points.length - 1
      links.push({
        id: `W${String(links.length + 1).padStart(4, '0')}`,
        stream: s,
        points: stream.points.slice(from, to + 1).map(p => [p[0], p[1]]),
        width: channelWidth(stream.area[Math.max(from, to - 1)] as number),
        area: stream.area[Math.max(from, to - 1)] as number,
        top: stream.height[from] as number,
        foot: stream.height[to] as number,
        share: null,
        isOutlet: isLast && stream.joins < 0,
      })
    }
  })
  return links
}

const isMouth = (link: Link, streams: readonly Stream[]): boolean => {
  const stream = streams[link.stream] as Stream
  return distance(link.points[link.points.length - 1] as Point, stream.points[stream.points.length - 1] as Point) < 0.01
}

/** A side channel of the river that leaves at the head of a long link and comes back at its foot. */
function addBraid(links: readonly Link[], planted: PlantedWater): Link[] {
  const half = links.filter(link => link.stream === 0 && link.area > 40e6)
  const main = half.reduce((best, link) => (lineLength(link.points) > lineLength(best.points) ? link : best))
  const length = lineLength(main.points)
  const steps = Math.round(length / 18)
  const side: Point[] = Array.from({ length: steps + 1 }, (_, k) => {
    const t = k / steps
    const { at, heading } = placeAlong(main.points, t * length)
    const out = 62 * sin((TAU / 2) * t) + 7 * sin(TAU * 2.5 * t) * sin((TAU / 2) * t)
    return [at[0] - heading[1] * out, at[1] + heading[0] * out]
  })
  side[0] = main.points[0] as Point
  side[steps] = main.points[main.points.length - 1] as Point
  main.share = planted.braid.share_main
  const island: Link = {
    ...main,
    id: `W${String(links.length + 1).padStart(4, '0')}`,
    points: smooth(side),
    width: main.width * 0.4,
    share: planted.braid.share_side,
  }
  planted.braid.main = main.id
  planted.braid.side = island.id
  return [...links, island]
}

function smooth(line: readonly Point[]): Point[] {
  let points = [...line]
  for (let pass = 0; pass < 4; pass++)
    points = points.map((p, i) => {
      const [a, b] = [points[i - 1], points[i + 1]]
      return a && b ? [(a[0] + 2 * p[0] + b[0]) / 4, (a[1] + 2 * p[1] + b[1]) / 4] : p
    })
  return points
}

/** Two small tributaries that end 7 to 18 m short of any other line. */
function openGaps(candidates: readonly Link[], links: readonly Link[]): PlantedWater['gaps'] {
  const gaps: PlantedWater['gaps'] = []
  for (const link of candidates) {
    if (gaps.length === 2) break
    const whole = link.points
    shorten(link, gaps.length === 0 ? 11 : 17)
    const away = awayFromOthers(link.points[link.points.length - 1] as Point, link, links)
    if (away > 7 && away < 18) gaps.push({ line_id: link.id, metres: Math.round(away * 10) / 10 })
    else link.points = whole
  }
  return gaps
}

/** How far the nearest other line is; infinite where none is within 32 m. */
function awayFromOthers(place: Point, own: Link, links: readonly Link[]): number {
  let least = Number.POSITIVE_INFINITY
  for (const link of links) {
    if (link === own || !isNearBox(place, link.points, CLOSE_BY)) continue
    least = Math.min(least, nearestOnLine(place, link.points).away)
  }
  return least
}

/** Lines farther off than this are not beside each other, metres. */
const CLOSE_BY = 32

function isNearBox([x, y]: Point, line: readonly Point[], reach: number): boolean {
  let [west, south, east, north] = [x + reach + 1, y + reach + 1, x - reach - 1, y - reach - 1]
  for (const [px, py] of line) {
    if (px < west) west = px
    if (px > east) east = px
    if (py < south) south = py
    if (py > north) north = py
  }
  return west <= x + reach && east >= x - reach && south <= y + reach && north >= y - reach
}

/** Takes the first stretch off heads that come up close beside another line: they would pass for gaps. */
function trimHeads(links: readonly Link[], streams: readonly Stream[]): void {
  for (const link of links) {
    const isHead = distance(link.points[0] as Point, (streams[link.stream] as Stream).points[0] as Point) < 0.01
    while (isHead && lineLength(link.points) > 90 && awayFromOthers(link.points[0] as Point, link, links) < CLOSE_BY)
      link.points = lineBetween(link.points, 20, lineLength(link.points))
  }
}

/** Ends a tributary short of the stream it joins; says by how much. */
function shorten(link: Link, metres: number): number {
  const end = link.points[link.points.length - 1] as Point
  const length = lineLength(link.points)
  link.points = lineBetween(link.points, 0, length - metres)
  return Math.round(distance(end, link.points[link.points.length - 1] as Point) * 100) / 100
}

/** Two old mill ditches that pass over a creek in a flume: they cross it without a node, and join nothing. */
function addDitches(links: readonly Link[], planted: PlantedWater): Link[] {
  const crossed = links
    .filter(link => link.stream === 3 || link.stream === 4)
    .filter(link => lineLength(link.points) > 240)
  return [crossed[1], crossed[crossed.length - 2]].map((creek, k) => {
    const { points, id } = creek as Link
    const { at, heading } = placeAlong(points, lineLength(points) / 2)
    const line: Point[] = [-1, -0.6, -0.25, 0, 0.3, 0.65, 1].map((t, i) => {
      const bend = [0, 9, 12, 8, 2, -6, -4][i] as number
      return [at[0] - heading[1] * 130 * t + heading[0] * bend, at[1] + heading[0] * 130 * t + heading[1] * bend]
    })
    const ditch: Link = {
      ...(creek as Link),
      id: `D${k + 1}`,
      stream: -1,
      points: line,
      width: 1.2,
      share: null,
      isOutlet: false,
      top: (creek as Link).top + 3,
      foot: (creek as Link).top + 2.4,
    }
    planted.crossings.push({ line_id: ditch.id, crosses: id })
    return ditch
  })
}

/** What the layer says of a line: most carry a direction, some only heights, some nothing. */
function describe(
  link: Link,
  names: readonly string[],
  planted: PlantedWater,
  random: ReturnType<typeof draws>,
): Feature {
  const isReversed = planted.reversed_lines.includes(link.id)
  const isAgainst = planted.against_lines.includes(link.id)
  const isSmall = link.stream > 2 && !isReversed && !isAgainst && link.share === null
  const draw = random.unit()
  const isSilent = isReversed || (isSmall && draw < 0.22)
  const hasHeights = isReversed ? planted.reversed_lines[0] === link.id : draw > 0.12
  const points = isReversed || isAgainst ? [...link.points].reverse() : link.points
  const [top, foot] = [Math.round(link.top * 10) / 10, Math.round(Math.min(link.foot, link.top - 0.1) * 10) / 10]
  if (isSilent && !isReversed) planted.without_direction.push(link.id)
  return lineFeature(points, {
    id: link.id,
    name: link.stream < 0 ? 'mill ditch' : names[link.stream] || null,
    direction: isSilent ? null : isAgainst ? 'against' : 'with',
    width_m: Math.round(link.width * 10) / 10,
    share: link.share,
    z_from: hasHeights ? (isReversed || isAgainst ? foot : top) : null,
    z_to: hasHeights ? (isReversed || isAgainst ? top : foot) : null,
    outlet: link.id === planted.outlet_line ? true : null,
  })
}

function weir(streams: readonly Stream[], along: number): Feature {
  const { at } = placeAlong(vineCourse(streams), along)
  return pointFeature(at, { id: 'B1', name: 'Tamsel mill weir', kind: 'weir', pass: 0.6 })
}

/** The water that the vine follows: Tamsel Creek from its head, then the river to where it leaves the county. */
export function vineCourse(streams: readonly Stream[]): Point[] {
  const [river, creek] = [streams[0] as Stream, streams[1] as Stream]
  return [...creek.points, ...river.points.slice(creek.joinsAt + 1)]
}
