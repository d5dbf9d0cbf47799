import { LeastFirst } from './heap.ts'
import { type Mesh, nearestNode } from './mesh.ts'
import { buildField, buildRoughField } from './noise.ts'
import { distance, FRAME, type Point } from './place.ts'
import { exp, power } from './steady-math.ts'

/** Relief carved by its own streams, and the way water takes over it. */
export interface Terrain {
  readonly height: Float64Array
  /** The node that each node drains to; itself at an outlet. */
  readonly receiver: Int32Array
  /** Drained area, square metres. */
  readonly area: Float64Array
  /** Nodes from the outlets upward: a node always comes after its receiver. */
  readonly order: Int32Array
  readonly outlets: readonly number[]
}

const STEPS = 44
/** Share of the frame (from its south-west corner) where water leaves, and the base level there. */
const OUTLETS: readonly (readonly [number, number, number])[] = [
  [1, 0.3, 0],
  [0.62, 1, 24],
  [0.17, 0, 20],
]

/**
 * Uplift against stream-power incision, solved implicitly from the outlets upward, with hollows filled before each step.
 * Source: Braun and Willett (2013), Geomorphology 180-181:170-179 (scheme, n = 1); Barnes et al. (2014),
 * Computers & Geosciences 62:117-127 (priority flood). Rates are chosen for looks.
 */
export function carveTerrain(mesh: Mesh): Terrain {
  const count = mesh.points.length
  const height = firstSurface(mesh)
  const outlets = OUTLETS.map(([u, v]) =>
    nearestNode(mesh, [FRAME.west + u * FRAME.width, FRAME.south + v * FRAME.height]),
  )
  outlets.forEach((node, i) => {
    height[node] = OUTLETS[i]?.[2] as number
  })
  const hardness = buildField('hardness', 2600)
  const rise = mesh.points.map(([x, y]) => 1.1 * (1 + 0.35 * hardness(x, y)))
  const links = listLinks(mesh)
  const isOutlet = Uint8Array.from({ length: count }, (_, i) => (outlets.includes(i) ? 1 : 0))
  const terrain = {
    height,
    receiver: new Int32Array(count),
    area: new Float64Array(count),
    order: new Int32Array(count),
    outlets,
  }
  for (let step = 0; step < STEPS; step++) {
    routeWater(mesh, links, terrain)
    for (let i = 0; i < count; i++) if (!isOutlet[i]) height[i] = (height[i] as number) + (rise[i] as number)
    incise(mesh, terrain)
    if (step % 4 === 3) soften(mesh, terrain)
  }
  routeWater(mesh, links, terrain)
  return terrain
}

function firstSurface(mesh: Mesh): Float64Array {
  const rough = buildRoughField('first surface', 2100, 5)
  const broad = buildField('broad rise', 5200)
  const [east, floor] = [FRAME.west + FRAME.width, FRAME.south + FRAME.height * 0.3]
  return Float64Array.from(mesh.points, ([x, y]) => {
    // A gentle fall toward the outlet in the east, and a rim so that no course hugs the frame.
    const fall = Math.sqrt((x - east) ** 2 + 1.7 * (y - floor) ** 2) / 1000
    const rim = Math.min(x - FRAME.west, y - FRAME.south, FRAME.south + FRAME.height - y, 1.5 * (east - x) + 500)
    return 40 + 2.2 * fall + 9 * rough(x, y) + 7 * broad(x, y) + (24 + 14 * rough(0.7 * x, y + 9000)) * exp(-rim / 420)
  })
}

/** Priority flood from the outlets: fills hollows to a faint slope, and notes receivers, order and drained area. */
function routeWater(mesh: Mesh, links: Links, terrain: Terrain): void {
  const { height, receiver, area, order, outlets } = terrain
  const count = height.length
  const seen = new Uint8Array(count)
  const queue = new LeastFirst()
  for (const node of outlets) {
    seen[node] = 1
    queue.push(height[node] as number, node)
  }
  let filled = 0
  while (queue.size > 0) {
    const { key, item } = queue.pop()
    order[filled++] = item
    for (let k = links.first[item] as number; k < (links.first[item + 1] as number); k++) {
      const next = links.to[k] as number
      if (seen[next]) continue
      seen[next] = 1
      if ((height[next] as number) <= key) height[next] = key + 0.002
      queue.push(height[next] as number, next)
    }
  }
  for (let i = 0; i < count; i++) receiver[i] = steepest(links, height, i)
  for (const node of outlets) receiver[node] = node
  area.fill(mesh.spacing * mesh.spacing * 0.8660254)
  for (let k = count - 1; k >= 0; k--) {
    const i = order[k] as number
    const down = receiver[i] as number
    if (down !== i) area[down] = (area[down] as number) + (area[i] as number)
  }
}

/** The links of the mesh as columns: those of node i stand from `first[i]` on. */
interface Links {
  readonly first: Int32Array
  readonly to: Int32Array
  readonly length: Float64Array
  readonly grain: Float64Array
}

function listLinks(mesh: Mesh): Links {
  const first = new Int32Array(mesh.points.length + 1)
  mesh.neighbours.forEach((around, i) => {
    first[i + 1] = (first[i] as number) + around.length
  })
  const to = Int32Array.from(mesh.neighbours.flat())
  const [length, grains] = [new Float64Array(to.length), new Float64Array(to.length)]
  mesh.neighbours.forEach((around, i) => {
    around.forEach((next, n) => {
      const k = (first[i] as number) + n
      length[k] = distance(mesh.points[i] as Point, mesh.points[next] as Point)
      grains[k] = grainOf(i, next)
    })
  })
  return { first, to, length, grain: grains }
}

function steepest(links: Links, height: Float64Array, i: number): number {
  const here = height[i] as number
  let best = i
  let most = 0
  for (let k = links.first[i] as number; k < (links.first[i + 1] as number); k++) {
    const next = links.to[k] as number
    const slope = ((links.grain[k] as number) * (here - (height[next] as number))) / (links.length[k] as number)
    if (slope > most) {
      most = slope
      best = next
    }
  }
  return best
}

/** Unevenness of the ground along a link, 0.55 to 1.45: keeps courses from running straight along the lattice. */
function grainOf(a: number, b: number): number {
  let h = Math.imul(a * 7919 + b * 104729 + 17, 2654435761) >>> 0
  h = Math.imul(h ^ (h >>> 15), 2246822519) >>> 0
  return 0.55 + (((h ^ (h >>> 13)) >>> 0) / 4294967296) * 0.9
}

function incise(mesh: Mesh, terrain: Terrain): void {
  const { height, receiver, area, order } = terrain
  for (const i of order) {
    const down = receiver[i] as number
    if (down === i) continue
    const step = distance(mesh.points[i] as Point, mesh.points[down] as Point)
    const pull = (0.012 * power(area[i] as number, 0.45)) / step
    const lowered = ((height[i] as number) + pull * (height[down] as number)) / (1 + pull)
    if (lowered > (height[down] as number)) height[i] = lowered
  }
}

function soften(mesh: Mesh, terrain: Terrain): void {
  const { height, outlets } = terrain
  const before = Float64Array.from(height)
  for (let i = 0; i < height.length; i++) {
    if (outlets.includes(i)) continue
    const around = mesh.neighbours[i] as readonly number[]
    let sum = 0
    for (const next of around) sum += before[next] as number
    height[i] = 0.75 * (before[i] as number) + (0.25 * sum) / around.length
  }
}
