import { FRAME, type Point } from './place.ts'
import { draws } from './seeded.ts'
import { cos, sin, TAU } from './steady-math.ts'

/** A jittered hexagonal lattice: its links are planar, and free of the eight directions of a square grid. */
export interface Mesh {
  readonly points: readonly Point[]
  readonly neighbours: readonly (readonly number[])[]
  readonly columns: number
  readonly rows: number
  readonly spacing: number
}

/** Below 0.43 of the spacing no triangle of the lattice can flip, so links never cross. */
const JITTER = 0.38

export function buildMesh(spacing: number): Mesh {
  const random = draws('mesh')
  const rise = spacing * 0.8660254
  const columns = Math.floor(FRAME.width / spacing)
  const rows = Math.floor(FRAME.height / rise)
  const points: Point[] = []
  for (let row = 0; row < rows; row++)
    for (let column = 0; column < columns; column++) {
      const angle = TAU * random.unit()
      const radius = JITTER * spacing * Math.sqrt(random.unit())
      const x = FRAME.west + (column + (row % 2 === 0 ? 0.25 : 0.75)) * spacing + radius * cos(angle)
      const y = FRAME.south + (row + 0.5) * rise + radius * sin(angle)
      points.push([x, y])
    }
  const neighbours = points.map((_, i) => latticeNeighbours(i, columns, rows))
  return { points, neighbours, columns, rows, spacing }
}

function latticeNeighbours(index: number, columns: number, rows: number): number[] {
  const row = Math.floor(index / columns)
  const column = index % columns
  const lean = row % 2 === 0 ? -1 : 0
  const around: [number, number][] = [
    [row, column - 1],
    [row, column + 1],
    [row - 1, column + lean],
    [row - 1, column + lean + 1],
    [row + 1, column + lean],
    [row + 1, column + lean + 1],
  ]
  return around.filter(([r, c]) => r >= 0 && c >= 0 && r < rows && c < columns).map(([r, c]) => r * columns + c)
}

/** The mesh node nearest to a place. */
export function nearestNode(mesh: Mesh, place: Point): number {
  const rise = mesh.spacing * 0.8660254
  const row0 = Math.round((place[1] - FRAME.south) / rise - 0.5)
  let best = 0
  let least = Number.POSITIVE_INFINITY
  for (let row = Math.max(0, row0 - 2); row <= Math.min(mesh.rows - 1, row0 + 2); row++) {
    const column0 = Math.round((place[0] - FRAME.west) / mesh.spacing - 0.5)
    for (let column = Math.max(0, column0 - 2); column <= Math.min(mesh.columns - 1, column0 + 2); column++) {
      const index = row * mesh.columns + column
      const [x, y] = mesh.points[index] as Point
      const away = (x - place[0]) ** 2 + (y - place[1]) ** 2
      if (away < least) {
        least = away
        best = index
      }
    }
  }
  return best
}
