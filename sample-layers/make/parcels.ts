import { writeShapefile } from '../../core/formats/write-shapefile.ts'
import type { Lot } from './lots.ts'
import { distance, FRAME, isInRing, type Point, ringArea } from './place.ts'
import { type Draws, draws } from './seeded.ts'
import { longAxis } from './split-polygon.ts'
import { cos, sin, TAU } from './steady-math.ts'

/** A parcel of the county roll: polygons of rings in UTM metres, outer ring first and anticlockwise. */
export interface Parcel {
  readonly pin: string
  readonly owner: string
  readonly landUse: string
  readonly acres: number
  readonly entry: string
  readonly polygons: readonly (readonly (readonly Point[])[])[]
}

const SQUARE_METRES_AN_ACRE = 4046.8564224
const TRUSTS = [
  'Fennimoor Meadow Trust',
  'Tollavane Water Board',
  'Tollavane County',
  'Ostermoor Grange Cooperative',
  'Wennet Valley Woodlots',
  'Highgarth Pasture Association',
  'Tollavane Parish Commons',
  'Wennet Power and Light',
] as const

/** One in so many coordinates of a metre: binary fractions keep their last bytes zero, which a zip packs well. */
const FRACTION = 256

export function buildParcels(lots: readonly Lot[]): Parcel[] {
  const random = draws('parcels')
  const { rings, merged } = mergeNearCorners(lots.map(lot => lot.ring.map(snap)))
  const snapped = knit(rings, merged)
  const polygons = snapped.map(ring => [ring])
  const kinds = lots.map(lot => lot.kind as string)
  addBurialGround(polygons, kinds)
  const groups = joinTitles(polygons, kinds, random)
  const numbers = new Map<string, number>()
  return groups
    .map(group => ({ group, sheet: sheetOf((polygons[group[0] as number] as Point[][])[0] as Point[]) }))
    .sort((a, b) => (a.sheet < b.sheet ? -1 : a.sheet > b.sheet ? 1 : (a.group[0] as number) - (b.group[0] as number)))
    .map(({ group, sheet }) => {
      const number = (numbers.get(sheet) ?? 0) + 1
      numbers.set(sheet, number)
      const shapes = group.map(i => polygons[i] as Point[][])
      return describe(
        `${sheet}-${String(number).padStart(3, '0')}`,
        kinds[group[0] as number] as string,
        shapes,
        random,
      )
    })
}

const snap = ([x, y]: Point): Point => [Math.round(x * FRACTION) / FRACTION, Math.round(y * FRACTION) / FRACTION]

/** Two corners within 3 cm become one; those that others were moved to are listed. */
function mergeNearCorners(rings: readonly Point[][]): { rings: Point[][]; merged: ReadonlySet<string> } {
  const near = 0.03
  const seats = new Map<string, Point[]>()
  const merged = new Set<string>()
  const cell = (p: Point, dx: number, dy: number) => `${Math.floor(p[0] + dx)},${Math.floor(p[1] + dy)}`
  const seat = (p: Point): Point => {
    for (const [dx, dy] of [
      [-near, -near],
      [-near, near],
      [near, -near],
      [near, near],
    ] as const)
      for (const held of seats.get(cell(p, dx, dy)) ?? [])
        if (distance(held, p) < near) {
          if (held[0] !== p[0] || held[1] !== p[1]) merged.add(`${held[0]},${held[1]}`)
          return held
        }
    seats.set(cell(p, 0, 0), [...(seats.get(cell(p, 0, 0)) ?? []), p])
    return p
  }
  return { rings: rings.map(ring => ring.map(seat)), merged }
}

/** Puts every corner that lies on another lot's edge into that edge, so that neighbours share all their corners. */
function knit(rings: readonly Point[][], merged: ReadonlySet<string>): Point[][] {
  const corners: Corners = { cells: new Map(), merged }
  const seen = new Set<string>()
  for (const p of rings.flat()) {
    if (seen.has(nameOf(p))) continue
    seen.add(nameOf(p))
    const key = cellOf(p[0], p[1])
    const held = corners.cells.get(key)
    if (held) held.push(p)
    else corners.cells.set(key, [p])
  }
  return rings.map(ring => {
    const knitted: Point[] = []
    ring.forEach((a, i) => {
      const b = ring[(i + 1) % ring.length] as Point
      if (a[0] === b[0] && a[1] === b[1]) return
      knitted.push(a, ...cornersOnEdge(a, b, corners))
    })
    return knitted
  })
}

interface Corners {
  readonly cells: Map<number, Point[]>
  readonly merged: ReadonlySet<string>
}

const CELL = 40
const cellOf = (x: number, y: number): number =>
  Math.floor((x - FRAME.west) / CELL) * 8192 + Math.floor((y - FRAME.south) / CELL)
const nameOf = (p: Point): string => `${p[0]},${p[1]}`

function cornersOnEdge(a: Point, b: Point, { cells, merged }: Corners): Point[] {
  const length = distance(a, b)
  const found: { t: number; p: Point }[] = []
  for (let x = Math.min(a[0], b[0]) - CELL; x < Math.max(a[0], b[0]) + 2 * CELL; x += CELL)
    for (let y = Math.min(a[1], b[1]) - CELL; y < Math.max(a[1], b[1]) + 2 * CELL; y += CELL)
      for (const p of cells.get(cellOf(x, y)) ?? []) {
        const t = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / length
        if (t < 0.003 || t > length - 0.003) continue
        const off = Math.abs((p[0] - a[0]) * (b[1] - a[1]) - (p[1] - a[1]) * (b[0] - a[0])) / length
        // Snapping moves a corner by at most 3 mm and an edge's middle by as much; merging moves a corner by up to 30 mm.
        const reach = merged.has(nameOf(p)) ? 0.04 : 0.006
        if (off < reach && !found.some(f => f.p === p)) found.push({ t, p })
      }
  return found.sort((m, n) => m.t - n.t).map(f => f.p)
}

/** A walled burial ground inside one large field: the field gets a hole, the ground its own title. */
function addBurialGround(polygons: Point[][][], kinds: string[]): void {
  const host = polygons.findIndex(([ring], i) => {
    const area = ringArea(ring as Point[])
    const box = longAxis({ ring: ring as Point[], edges: [] })
    return (
      kinds[i] === 'farm' &&
      area > 90_000 &&
      area > 0.75 * box.long * box.short &&
      isInRing(box.centre, ring as Point[])
    )
  })
  const box = longAxis({ ring: (polygons[host] as Point[][])[0] as Point[], edges: [] })
  const ground = Array.from(
    { length: 7 },
    (_, k): Point => snap([box.centre[0] + 26 * cos((TAU * k) / 7), box.centre[1] + 19 * sin((TAU * k) / 7)]),
  )
  polygons[host] = [...(polygons[host] as Point[][]), [...ground].reverse()]
  polygons.push([ground])
  kinds.push('burial ground')
}

/** Titles: mostly one lot each; some farms hold a second or third piece nearby (a multipart parcel). */
function joinTitles(polygons: readonly Point[][][], kinds: readonly string[], random: Draws): number[][] {
  const farms = kinds.flatMap((kind, i) => (kind === 'farm' && (polygons[i] as Point[][]).length === 1 ? [i] : []))
  const middle = (i: number) => ((polygons[i] as Point[][])[0] as Point[])[0] as Point
  const corners = (i: number) => (polygons[i] as Point[][])[0] as Point[]
  const joined = new Map<number, number[]>()
  const taken = new Set<number>()
  for (const i of random.shuffled(farms).slice(0, 90)) {
    if (joined.size >= 26 || taken.has(i)) continue
    const others = farms.filter(j => {
      const away = distance(middle(i), middle(j))
      return j !== i && !taken.has(j) && away > 420 && away < 1300 && !isTouching(corners(i), corners(j))
    })
    const shuffled = random.shuffled(others)
    const pieces = shuffled.slice(0, 1)
    if (joined.size % 6 === 0) {
      const third = shuffled.find(j => j !== pieces[0] && !isTouching(corners(j), corners(pieces[0] as number)))
      if (third !== undefined) pieces.push(third)
    }
    if (pieces.length === 0) continue
    joined.set(i, [i, ...pieces])
    for (const j of [i, ...pieces]) taken.add(j)
  }
  return polygons.flatMap((_, i) => (joined.has(i) ? [joined.get(i) as number[]] : taken.has(i) ? [] : [[i]]))
}

/** Whether two rings share a corner; after knitting, all that touch do. */
function isTouching(a: readonly Point[], b: readonly Point[]): boolean {
  const own = new Set(a.map(p => `${p[0]},${p[1]}`))
  return b.some(p => own.has(`${p[0]},${p[1]}`))
}

/** Map sheet of a parcel, e.g. "06-11": columns of 1,200 m from the west, rows from the south. */
function sheetOf(ring: readonly Point[]): string {
  const [x, y] = ring[0] as Point
  const part = (value: number) => String(1 + Math.floor(value / 1200)).padStart(2, '0')
  return `${part(x - FRAME.west)}-${part(y - FRAME.south)}`
}

function describe(pin: string, kind: string, polygons: readonly Point[][][], random: Draws): Parcel {
  const area = polygons.flat().reduce((sum, ring) => sum + ringArea(ring), 0)
  const trust = random.chance(kind === 'farm' ? 0.07 : 0.02)
  const owner =
    kind === 'burial ground'
      ? 'Tollavane Parish Commons'
      : trust
        ? random.pick(TRUSTS)
        : `Owner ${String(random.whole(1, 3160)).padStart(4, '0')}`
  const use: Record<string, readonly string[]> = {
    village: ['residential', 'residential', 'residential', 'residential', 'shop', 'vacant', 'civic'],
    homestead: ['residential', 'residential', 'residential', 'vacant', 'woodland', 'pasture'],
    farm: ['pasture', 'pasture', 'hay', 'cropland', 'woodland', 'woodland', 'farmstead'],
    'burial ground': ['burial ground'],
  }
  const entry = random.chance(trust ? 0.8 : 0.3)
    ? 'granted'
    : random.chance(0.2)
      ? 'asked'
      : random.chance(0.06)
        ? 'refused'
        : ''
  return {
    pin,
    owner,
    landUse: random.pick(use[kind] as readonly string[]),
    acres: area / SQUARE_METRES_AN_ACRE,
    entry,
    polygons,
  }
}

/** WGS 84 / UTM zone 23N as the .prj of a Shapefile says it. */
const PRJ =
  'PROJCS["WGS_1984_UTM_Zone_23N",GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["False_Easting",500000.0],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",-45.0],PARAMETER["Scale_Factor",0.9996],PARAMETER["Latitude_Of_Origin",0.0],UNIT["Meter",1.0]]'

export function writeParcels(parcels: readonly Parcel[]): Uint8Array {
  return writeShapefile({
    name: 'parcels',
    kind: 'polygon',
    prj: PRJ,
    fields: [
      { name: 'PIN', type: 'text', width: 12 },
      { name: 'OWNER', type: 'text', width: 40 },
      { name: 'LANDUSE', type: 'text', width: 16 },
      { name: 'ACRES', type: 'number', width: 10, decimals: 2 },
      { name: 'ENTRY', type: 'text', width: 8 },
    ],
    shapes: parcels.map(parcel => parcel.polygons.flat().map(toShapeRing)),
    rows: parcels.map(p => [p.pin, p.owner, p.landUse, p.acres, p.entry === '' ? null : p.entry]),
  })
}

/** Closed and turned: the format wants outer rings clockwise. */
function toShapeRing(ring: readonly Point[]): number[] {
  const turned = [...ring].reverse()
  return [...turned, turned[0] as Point].flatMap(p => [p[0], p[1]])
}
