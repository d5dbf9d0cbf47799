import type { Mesh } from './mesh.ts'
import { nearestNode } from './mesh.ts'
import { buildField } from './noise.ts'
import { nearestOnLine, type Point } from './place.ts'
import { HAMLETS, inFrame, type Road, type Site, VILLAGE } from './roads.ts'
import { draws } from './seeded.ts'
import { cos, sin } from './steady-math.ts'
import type { Terrain } from './terrain.ts'

const STREET_WORDS = [
  'Mill',
  'Church',
  'Market',
  'Depot',
  'Orchard',
  'Spring',
  'School',
  'Tanner',
  'Cooper',
  'Bridge',
  'Upper',
  'Lower',
  'Willow',
  'Quarry',
  'Ferry',
  'Cherry',
  'Green',
  'Foundry',
] as const

/** A loose weave of streets at the village and a few at each hamlet, ending short of wide water. */
export function buildStreets(terrain: Terrain, mesh: Mesh, roads: readonly Road[]): Road[] {
  const streets = [
    ...weave(VILLAGE, { along: 8, across: 7, pitch: 112, reach: 560, turn: -0.12 }, terrain, mesh, roads),
  ]
  HAMLETS.forEach((hamlet, i) => {
    streets.push(...weave(hamlet, { along: 3, across: 3, pitch: 105, reach: 200, turn: 0.5 * i }, terrain, mesh, roads))
  })
  return streets
}

interface Weave {
  readonly along: number
  readonly across: number
  readonly pitch: number
  readonly reach: number
  readonly turn: number
}

function weave(site: Site, shape: Weave, terrain: Terrain, mesh: Mesh, roads: readonly Road[]): Road[] {
  const random = draws(`streets of ${site.name}`)
  const bend = buildField(`streets of ${site.name}`, 420)
  const centre = snapToRoad(inFrame(site), roads)
  const [c, s] = [cos(shape.turn), sin(shape.turn)]
  const place = (u: number, v: number): Point => {
    const [x, y] = [centre[0] + u * c - v * s, centre[1] + u * s + v * c]
    return [x + 34 * bend(x, y), y + 34 * bend(x + 9000, y)]
  }
  const streets: Road[] = []
  const lay = (count: number, at: (offset: number, t: number) => Point, pitch: number) => {
    for (let k = 0; k < count; k++) {
      const offset = (k - (count - 1) / 2) * pitch + random.between(-12, 12)
      const half = Math.sqrt(Math.max(0, shape.reach ** 2 - offset ** 2)) * random.between(0.8, 1)
      const line: Point[] = []
      for (let t = -half; t <= half; t += 28) line.push(at(offset, t))
      const kept = driestRun(line, terrain, mesh)
      const name = `${STREET_WORDS[(streets.length * 5 + site.name.length) % STREET_WORDS.length]} Street`
      if (kept.length > 3) streets.push({ name, kind: 'street', points: kept })
    }
  }
  lay(shape.along, (offset, t) => place(t, offset), shape.pitch)
  lay(shape.across, (offset, t) => place(offset, t), shape.pitch * 1.45)
  return streets
}

function snapToRoad(place: Point, roads: readonly Road[]): Point {
  let best = { away: Number.POSITIVE_INFINITY, at: place }
  for (const road of roads) {
    const near = nearestOnLine(place, road.points)
    if (near.away < best.away) best = near
  }
  return best.at
}

/** The longest run of a line that keeps off creeks. */
function driestRun(line: readonly Point[], terrain: Terrain, mesh: Mesh): Point[] {
  let best: Point[] = []
  let run: Point[] = []
  for (const point of line) {
    const isWet = (terrain.area[nearestNode(mesh, point)] as number) > 3e6
    if (isWet) run = []
    else run.push(point)
    if (run.length > best.length) best = [...run]
  }
  return best
}
