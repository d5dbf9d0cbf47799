import { LeastFirst } from './heap.ts'
import { type Mesh, nearestNode } from './mesh.ts'
import { between, distance, FRAME, isInRing, type Point } from './place.ts'
import { draws } from './seeded.ts'
import { channelWidth } from './streams.ts'
import { buildStreets } from './streets.ts'
import type { Terrain } from './terrain.ts'

export type RoadClass = 'highway' | 'county' | 'local' | 'street'

export interface Road {
  readonly name: string
  readonly kind: RoadClass
  readonly points: readonly Point[]
}

export interface Site {
  readonly name: string
  readonly at: readonly [number, number]
}

/** Places that roads lead to, metres from the south-west corner of the frame. */
export const VILLAGE: Site = { name: 'Tollavane', at: [7560, 5380] }
export const HAMLETS: readonly Site[] = [
  { name: 'Pinfold', at: [3550, 5820] },
  { name: 'Ostermoor', at: [9900, 4980] },
  { name: 'Marl End', at: [6000, 1320] },
  { name: 'Quenby', at: [10150, 2450] },
  { name: 'Highgarth', at: [5350, 8350] },
]
const [PINFOLD, OSTERMOOR, MARL_END, QUENBY, HIGHGARTH] = HAMLETS as readonly [Site, Site, Site, Site, Site]
const off = (name: string, x: number, y: number): Site => ({ name, at: [x, y] })

/** Through roads in the order of building: later ones join earlier ones where they can. */
const ROUTES: readonly (readonly [string, RoadClass, readonly Site[]])[] = [
  ['Route 14', 'highway', [off('west line', 60, 5350), PINFOLD, VILLAGE, OSTERMOOR, off('east line', 12900, 5150)]],
  ['Route 31', 'highway', [off('north line', 7050, 9950), VILLAGE, MARL_END, off('south line', 4650, 60)]],
  ['Quenby Road', 'county', [OSTERMOOR, QUENBY, off('south-east', 11300, 60)]],
  ['Highgarth Road', 'county', [VILLAGE, HIGHGARTH, off('north', 4700, 9950)]],
  ['Marl Road', 'county', [PINFOLD, off('south-west', 2600, 1650), off('west', 60, 1150)]],
  ['Ridge Road', 'county', [PINFOLD, off('north-west', 1700, 8250), off('west', 60, 8700)]],
  ['Lower Quenby Road', 'county', [QUENBY, off('east', 12900, 2050)]],
  ['River Road', 'county', [MARL_END, QUENBY]],
  ['Cross Road', 'county', [HIGHGARTH, PINFOLD]],
  ['North Fork Road', 'county', [VILLAGE, off('north-east', 10600, 7300), off('north line', 10700, 9950)]],
  ['Ostermoor Lane', 'county', [OSTERMOOR, off('north-east', 10600, 7300)]],
  [
    'Tamsel Creek Road',
    'county',
    [VILLAGE, off('creek', 4900, 7300), off('upper creek', 3350, 8700), off('north', 3300, 9950)],
  ],
  ['Mill Road', 'county', [VILLAGE, off('lower creek', 8250, 4150), off('south-east', 9550, 3300), QUENBY]],
  ['Old Stage Road', 'county', [off('south-west', 2600, 1650), MARL_END]],
]

const LANE_WORDS = [
  'Sorrel',
  'Tallow',
  'Cinder',
  'Gorse',
  'Linnet',
  'Plover',
  'Tansy',
  'Bracken',
  'Millet',
  'Kestrel',
  'Hurdle',
  'Wicket',
  'Thimble',
  'Larch',
  'Ember',
  'Pewter',
  'Heron',
  'Sedge',
  'Flint',
  'Cobble',
  'Dapple',
  'Fallow',
  'Rushlight',
  'Saddle',
  'Treacle',
  'Umber',
  'Vetch',
  'Whinberry',
  'Yarrow',
  'Clover',
] as const
const LANE_KINDS = ['Lane', 'Road', 'Hollow Road', 'Hill Road'] as const

export const inFrame = (site: Site): Point => [FRAME.west + site.at[0], FRAME.south + site.at[1]]

/** The road network: least-cost ways over the relief, smoothed, and the streets of the village and hamlets. */
export function buildRoads(mesh: Mesh, terrain: Terrain, boundary: readonly Point[]): Road[] {
  const network: Network = { mesh, terrain, used: new Uint8Array(mesh.points.length), ways: [] }
  for (const [name, kind, stops] of ROUTES)
    for (let k = 0; k + 1 < stops.length; k++) layRoute(network, name, kind, stops[k] as Site, stops[k + 1] as Site)
  layLanes(network, boundary)
  const roads = smoothWays(network)
  return [...roads, ...buildStreets(terrain, mesh, roads)]
}

interface Way {
  readonly name: string
  readonly kind: RoadClass
  readonly nodes: readonly number[]
}

interface Network {
  readonly mesh: Mesh
  readonly terrain: Terrain
  readonly used: Uint8Array
  readonly ways: Way[]
}

function layRoute(network: Network, name: string, kind: RoadClass, from: Site, to: Site): void {
  const start = nearestNode(network.mesh, inFrame(from))
  const goal = nearestNode(network.mesh, inFrame(to))
  const path = cheapestPath(network, start, node => node === goal)
  let run: number[] = []
  // Only what is new becomes a way: shared stretches belong to the road that was there first.
  for (let k = 0; k < path.length; k++) {
    const node = path[k] as number
    const isShared = k > 0 && network.used[node] === 1 && network.used[path[k - 1] as number] === 1
    if (isShared) {
      if (run.length > 1) network.ways.push({ name, kind, nodes: run })
      run = [node]
    } else run.push(node)
  }
  if (run.length > 1) network.ways.push({ name, kind, nodes: run })
  for (const node of path) network.used[node] = 1
}

/** Lanes to scattered farms: the farthest corners first, each to the road it reaches most cheaply, some through to a second. */
function layLanes(network: Network, boundary: readonly Point[]): void {
  const random = draws('lanes')
  const { mesh, used } = network
  let laid = 0
  for (let attempt = 0; attempt < 700 && laid < 92; attempt++) {
    const place: Point = [
      FRAME.west + random.between(600, FRAME.width - 600),
      FRAME.south + random.between(600, FRAME.height - 600),
    ]
    const farm = nearestNode(mesh, place)
    if (!isInRing(place, boundary) || roadDistance(network, place) < (attempt < 200 ? 620 : 380)) continue
    const isThrough = random.chance(0.72)
    const path = cheapestPath(network, farm, node => used[node] === 1)
    if (path.length < 4) continue
    const name = `${LANE_WORDS[laid % LANE_WORDS.length]} ${LANE_KINDS[Math.floor(laid / LANE_WORDS.length)]}`
    const whole = [...path].reverse()
    for (const node of path) used[node] = 1
    if (isThrough) {
      const own = new Set(path)
      const hub = path[path.length - 1] as number
      const far = cheapestPath(
        network,
        farm,
        node =>
          used[node] === 1 && !own.has(node) && distance(mesh.points[node] as Point, mesh.points[hub] as Point) > 950,
        own,
      )
      if (far.length > 3 && far.length < 40) {
        whole.push(...far.slice(1))
        for (const node of far) used[node] = 1
      }
    }
    network.ways.push({ name, kind: 'local', nodes: whole })
    laid++
  }
}

function roadDistance(network: Network, place: Point): number {
  let least = Number.POSITIVE_INFINITY
  for (const way of network.ways)
    for (const node of way.nodes) {
      const [x, y] = network.mesh.points[node] as Point
      const [dx, dy] = [x - place[0], y - place[1]]
      const square = dx * dx + dy * dy
      if (square < least) least = square
    }
  return Math.sqrt(least)
}

function cheapestPath(
  network: Network,
  start: number,
  isGoal: (node: number) => boolean,
  avoid?: ReadonlySet<number>,
): number[] {
  const { mesh } = network
  const cost = new Float64Array(mesh.points.length).fill(Number.POSITIVE_INFINITY)
  const back = new Int32Array(mesh.points.length).fill(-1)
  const done = new Uint8Array(mesh.points.length)
  cost[start] = 0
  const queue = new LeastFirst()
  queue.push(0, start)
  while (queue.size > 0) {
    const { item } = queue.pop()
    if (done[item]) continue
    done[item] = 1
    if (isGoal(item)) {
      const path = [item]
      for (let node = back[item] as number; node >= 0; node = back[node] as number) path.push(node)
      return path.reverse()
    }
    for (const next of mesh.neighbours[item] as readonly number[]) {
      if (done[next] || avoid?.has(next)) continue
      const total = (cost[item] as number) + stepCost(network, item, next)
      if (total >= (cost[next] as number)) continue
      cost[next] = total
      back[next] = item
      queue.push(total, next)
    }
  }
  return []
}

function stepCost(network: Network, from: number, to: number): number {
  const { mesh, terrain, used } = network
  const length = distance(mesh.points[from] as Point, mesh.points[to] as Point)
  const slope = Math.abs((terrain.height[from] as number) - (terrain.height[to] as number)) / length
  const drained = terrain.area[to] as number
  const wet = drained > 88_000 ? 45 + 16 * channelWidth(drained) : 0
  let bank = 1
  for (const next of mesh.neighbours[to] as readonly number[]) if ((terrain.area[next] as number) > 4e6) bank = 1.5
  const base = length * bank * (1 + (14 * slope) ** 2) + wet
  return used[from] === 1 && used[to] === 1 ? base * 0.35 : base
}

/** Irons the zigzag of the mesh out of all ways together, so that junctions stay shared, and rounds what is left. */
function smoothWays(network: Network): Road[] {
  const { mesh, ways } = network
  const around = new Map<number, Set<number>>()
  const link = (a: number, b: number) => around.set(a, (around.get(a) ?? new Set()).add(b))
  for (const way of ways)
    for (let k = 0; k + 1 < way.nodes.length; k++) {
      link(way.nodes[k] as number, way.nodes[k + 1] as number)
      link(way.nodes[k + 1] as number, way.nodes[k] as number)
    }
  let places = new Map([...around.keys()].map(node => [node, mesh.points[node] as Point]))
  for (let round = 0; round < 14; round++) {
    const moved = new Map<number, Point>()
    for (const [node, next] of around) {
      const here = places.get(node) as Point
      if (next.size < 2) {
        moved.set(node, here)
        continue
      }
      let [x, y] = [0, 0]
      for (const other of next) {
        const place = places.get(other) as Point
        x += place[0] / next.size
        y += place[1] / next.size
      }
      moved.set(node, between(here, [x, y], next.size === 2 ? 0.5 : 0.25))
    }
    places = moved
  }
  return ways.map(way => ({
    name: way.name,
    kind: way.kind,
    points: roundCorners(
      way.nodes.map(node => ({ at: places.get(node) as Point, isJunction: around.get(node)?.size !== 2 })),
    ),
  }))
}

/** One pass of corner cutting that leaves ends and junctions where they are. */
function roundCorners(nodes: readonly { at: Point; isJunction: boolean }[]): Point[] {
  const line: Point[] = []
  nodes.forEach(({ at, isJunction }, k) => {
    const [before, after] = [nodes[k - 1]?.at, nodes[k + 1]?.at]
    if (isJunction || !before || !after) line.push(at)
    else line.push(between(at, before, 0.28), between(at, after, 0.28))
  })
  return line
}
