import { isInside, normalPolygons, signedRingArea } from '../geo/index.ts'
import type { MultiPolygon, Ring } from '../model/index.ts'

/** Values at the nodes of a square grid, row by row from the south-west. */
export interface Field {
  readonly west: number
  readonly south: number
  readonly cell: number
  readonly columns: number
  readonly rows: number
  readonly values: Float64Array
}

/**
 * The ground where a field is above a level, by linear interpolation along cell edges; its rim counts as 0, so `level` is above 0.
 * Two corners above across a cell from each other are joined where the mean of the cell is above the level.
 * Source: marching squares, after Lorensen and Cline (1987), SIGGRAPH 21(4):163-169, in the plane.
 */
export function contourAbove(field: Field, level: number): MultiPolygon {
  const next = new Map<number, number>()
  const place = new Map<number, readonly [number, number]>()
  for (let row = 0; row < field.rows - 1; row++) {
    for (let column = 0; column < field.columns - 1; column++) marchCell(field, level, { row, column, next, place })
  }
  return polygonsOf(ringsOf(next, place))
}

interface Cell {
  readonly row: number
  readonly column: number
  readonly next: Map<number, number>
  readonly place: Map<number, readonly [number, number]>
}

/** Corners counter-clockwise from the south-west; edge e joins corner e and e + 1. */
const CORNERS = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
] as const

function marchCell(field: Field, level: number, { row, column, next, place }: Cell): void {
  const values = CORNERS.map(([dx, dy]) => valueAt(field, column + dx, row + dy))
  const above = values.map(value => value > level)
  const isAllAlike = above.every(is => is === above[0])
  if (isAllAlike) return
  const edges: { readonly id: number; readonly isEntry: boolean }[] = []
  for (let e = 0; e < 4; e++) {
    const [from, to] = [e, (e + 1) % 4]
    if (above[from] === above[to]) continue
    const id = edgeId(field, column, row, e)
    const t = (level - values[from]!) / (values[to]! - values[from]!)
    const [ax, ay] = CORNERS[from]!
    const [bx, by] = CORNERS[to]!
    place.set(id, [
      field.west + (column + ax + t * (bx - ax)) * field.cell,
      field.south + (row + ay + t * (by - ay)) * field.cell,
    ])
    // Going round the cell, the line with the ground above on its left starts where one leaves that ground.
    edges.push({ id, isEntry: above[from]! })
  }
  const isJoined = values.reduce((sum, value) => sum + value, 0) / 4 > level
  for (const [k, edge] of edges.entries()) {
    if (!edge.isEntry) continue
    const step = edges.length === 4 && !isJoined ? edges.length - 1 : 1
    next.set(edge.id, edges[(k + step) % edges.length]!.id)
  }
}

function valueAt({ columns, rows, values }: Field, column: number, row: number): number {
  const isRim = column === 0 || row === 0 || column === columns - 1 || row === rows - 1
  return isRim ? 0 : values[row * columns + column]!
}

/** One number an edge of the grid, the same from both of its cells. */
function edgeId({ columns }: Field, column: number, row: number, edge: number): number {
  const [atColumn, atRow] = [edge === 1 ? column + 1 : column, edge === 2 ? row + 1 : row]
  return 2 * (atRow * columns + atColumn) + (edge % 2)
}

function ringsOf(next: ReadonlyMap<number, number>, place: ReadonlyMap<number, readonly [number, number]>): Ring[] {
  const seen = new Set<number>()
  const rings: Ring[] = []
  for (const head of next.keys()) {
    const points: number[] = []
    for (let at: number | undefined = head; at !== undefined && !seen.has(at); at = next.get(at)) {
      seen.add(at)
      points.push(...place.get(at)!)
    }
    if (points.length >= 6) rings.push(Float64Array.from([...points, points[0]!, points[1]!]))
  }
  return rings
}

function polygonsOf(rings: readonly Ring[]): MultiPolygon {
  const outers = rings.filter(ring => signedRingArea(ring) > 0).map(ring => [ring])
  for (const hole of rings.filter(ring => signedRingArea(ring) < 0)) {
    const homes = outers.filter(polygon => isInside([[polygon[0]!]], hole[0]!, hole[1]!))
    homes.sort((a, b) => signedRingArea(a[0]!) - signedRingArea(b[0]!))[0]?.push(hole)
  }
  return normalPolygons(outers)
}
