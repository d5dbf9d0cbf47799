/** A tiny invented creek with patches of five seasons, for tests of the window alone. */
import type { MapLayer, MapLayerId } from '../../core/desk-view.ts'
import { type Column, GeometryBuilder, type GeometryKind, layerOf } from '../../core/geo/index.ts'
import { createRandom } from '../../core/stats/index.ts'

export const SEASONS = ['2021', '2022', '2023', '2024', '2025'] as const
const [WEST, SOUTH] = [-45.86, 35.68]
const PER_KM = [1 / 90.5, 1 / 110.95] as const

/** Degrees from kilometres east and north of the district's corner. */
export const at = (x: number, y: number): [number, number] => [WEST + x * PER_KM[0], SOUTH + y * PER_KM[1]]

const CREEK = Array.from({ length: 61 }, (_, i): [number, number] => {
  const x = i * 0.2
  return [x, 7.6 - 0.5 * x + 0.55 * Math.sin(x * 1.1) + 0.12 * Math.sin(x * 4.3)]
})
const FAMILIES = [5, 13, 21, 30, 38, 47]

export interface FixturePatch {
  readonly fid: number
  readonly id: string
  readonly season: string
  readonly area: number
  readonly status: string
  readonly x: number
  readonly y: number
  readonly radius: number
}

export interface FixturePlace {
  readonly layers: readonly MapLayer[]
  readonly patches: readonly FixturePatch[]
  readonly reachNames: readonly string[]
  readonly parcels: number
}

const text = (name: string, values: readonly (string | null)[]): Column => ({ name, type: 'text', values })

function mapLayer(id: MapLayerId, builder: GeometryBuilder, columns: readonly Column[]): MapLayer {
  return { id, layer: layerOf(id, builder.build(), 'EPSG:4326', columns) }
}

function addShape(builder: GeometryBuilder, kind: GeometryKind, points: readonly (readonly [number, number])[]): void {
  for (const [x, y] of points) builder.addVertex(...at(x, y))
  builder.endRing()
  builder.endPart()
  builder.endFeature(kind)
}

function blob(x: number, y: number, radius: number, phase: number): [number, number][] {
  const ring = Array.from({ length: 40 }, (_, i): [number, number] => {
    const turn = (i / 40) * 2 * Math.PI
    const r = radius * (1 + 0.16 * Math.sin(3 * turn + phase) + 0.08 * Math.sin(5 * turn))
    return [x + 1.5 * r * Math.cos(turn - 0.4), y + 0.8 * r * Math.sin(turn - 0.4)]
  })
  return [...ring, ring[0]!]
}

export function buildFixturePlace(): FixturePlace {
  const patches = FAMILIES.flatMap((step, family) =>
    SEASONS.slice(family === 5 ? 4 : 0).map((season, i) => {
      const [x, y] = CREEK[step]!
      const grown = family === 5 ? 0.09 : 0.1 + 0.035 * i + 0.02 * (family % 3)
      return { season, x: x + 0.03 * i, y: y - 0.02 * i, radius: grown, family }
    }),
  ).map(
    (patch, fid): FixturePatch => ({
      ...patch,
      fid,
      id: `P${patch.family + 1}`,
      area: Math.PI * 1.2 * (patch.radius * 1000) ** 2,
      status: patch.family === 5 ? 'new' : 'grown',
    }),
  )
  const reaches = reachLayer()
  return {
    patches,
    reachNames: ['Tarn Brook', 'Elder Fork', 'Mill Rill'],
    parcels: 30 * 24,
    layers: [
      parcelLayer(),
      boundaryLayer(),
      searchedLayer(patches),
      roadLayer(),
      reaches,
      patchLayer(patches),
      ...pointLayers(patches),
      arrowLayer(patches),
    ],
  }
}

function parcelLayer(): MapLayer {
  const random = createRandom(7)
  const [columns, rows] = [30, 24]
  const node = Array.from({ length: (columns + 1) * (rows + 1) }, (_, i): [number, number] => [
    (i % (columns + 1)) * 0.4 + (random.next() - 0.5) * 0.2,
    Math.floor(i / (columns + 1)) * 0.4 + (random.next() - 0.5) * 0.2 - 0.6,
  ])
  const builder = new GeometryBuilder()
  const status: string[] = []
  for (let r = 0; r < rows; r++)
    for (let c = 0; c < columns; c++) {
      const corner = (dc: number, dr: number) => node[(r + dr) * (columns + 1) + c + dc]!
      addShape(builder, 'polygon', [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1), corner(0, 0)])
      const isNear = CREEK.some(
        ([x, y], i) => FAMILIES.includes(i) && Math.hypot(corner(0, 0)[0] + 0.2 - x, corner(0, 0)[1] + 0.2 - y) < 0.3,
      )
      status.push(isNear ? 'infested' : '')
    }
  return mapLayer('parcels', builder, [text('status', status)])
}

function boundaryLayer(): MapLayer {
  const builder = new GeometryBuilder()
  addShape(builder, 'polygon', blob(5.9, 4.1, 4.2, 1))
  return mapLayer('boundary', builder, [])
}

function searchedLayer(patches: readonly FixturePatch[]): MapLayer {
  const builder = new GeometryBuilder()
  for (const patch of patches) addShape(builder, 'polygon', blob(patch.x + 0.3, patch.y + 0.25, patch.radius * 1.8, 2))
  return mapLayer('searched', builder, [
    text(
      'season',
      patches.map(patch => patch.season),
    ),
  ])
}

function roadLayer(): MapLayer {
  const builder = new GeometryBuilder()
  addShape(builder, 'line', [
    [-0.2, 2],
    [3.1, 3.2],
    [6.2, 2.6],
    [9, 4.2],
    [12.2, 4.6],
  ])
  addShape(builder, 'line', [
    [4.2, 8.6],
    [4.6, 5.1],
    [6.2, 2.6],
    [6.6, -0.4],
  ])
  addShape(builder, 'line', [
    [-0.2, 6.4],
    [5.4, 7.1],
    [12.2, 7.9],
  ])
  return { ...mapLayer('reference', builder, [text('source', ['roads', 'roads', 'rail'])]), sources: ['roads', 'rail'] }
}

function reachLayer(): MapLayer {
  const builder = new GeometryBuilder()
  const look: string[] = []
  const name: string[] = []
  for (let i = 0; i < 60; i += 4) {
    addShape(builder, 'line', CREEK.slice(i, i + 5))
    look.push(i < 4 ? '' : i % 16 < 8 ? (i % 8 === 0 ? 'first' : 'next') : 'low')
    name.push('Tarn Brook')
  }
  for (const [step, label, dx] of [
    [16, 'Elder Fork', -1.6],
    [34, 'Mill Rill', 1.9],
  ] as const) {
    const [x, y] = CREEK[step]!
    addShape(
      builder,
      'line',
      Array.from({ length: 12 }, (_, i): [number, number] => [
        x + dx * (1 - i / 11) + 0.14 * Math.sin(i),
        y + (dx < 0 ? -1 : 1) * 2.3 * (1 - i / 11),
      ]),
    )
    look.push('')
    name.push(label)
  }
  return mapLayer('reaches', builder, [
    ...SEASONS.flatMap(season => [text(`look/${season}`, look), text(`flood_look/${season}`, look)]),
    text('name', name),
  ])
}

function patchLayer(patches: readonly FixturePatch[]): MapLayer {
  const builder = new GeometryBuilder()
  for (const patch of patches) addShape(builder, 'polygon', blob(patch.x, patch.y, patch.radius, patch.fid))
  return mapLayer('patches', builder, [
    text(
      'season',
      patches.map(patch => patch.season),
    ),
    text(
      'status',
      patches.map(patch => patch.status),
    ),
    text(
      'label',
      patches.map(patch => patch.id),
    ),
    text(
      'id',
      patches.map(patch => patch.id),
    ),
    text(
      'outlier',
      patches.map(patch => (patch.status === 'new' ? 'jump' : '')),
    ),
  ])
}

function pointLayers(patches: readonly FixturePatch[]): MapLayer[] {
  const random = createRandom(11)
  const [finds, clear] = [new GeometryBuilder(), new GeometryBuilder()]
  const [findSeasons, states, clearSeasons]: [string[], string[], string[]] = [[], [], []]
  for (const patch of patches)
    for (let i = 0; i < 9; i++) {
      const spot = () =>
        at(patch.x + random.normal() * patch.radius * 0.7, patch.y + random.normal() * patch.radius * 0.4)
      finds.addPoint(...spot())
      findSeasons.push(patch.season)
      states.push(i === 8 ? 'imprecise' : 'counts')
      const [lon, lat] = spot()
      clear.addPoint(lon + 0.006, lat + 0.004)
      clearSeasons.push(patch.season)
    }
  return [
    mapLayer('finds', finds, [text('season', findSeasons), text('state', states)]),
    mapLayer('clear', clear, [text('season', clearSeasons)]),
  ]
}

function arrowLayer(patches: readonly FixturePatch[]): MapLayer {
  const builder = new GeometryBuilder()
  const moved = patches.filter(patch => patch.season !== '2021' && patch.status === 'grown')
  for (const { x, y, radius } of moved)
    addShape(builder, 'line', [
      [x + radius * 1.2, y - radius * 0.5],
      [x + radius * 2.2, y - radius * 1.1],
    ])
  return mapLayer('arrows', builder, [
    text(
      'from',
      moved.map(patch => String(Number(patch.season) - 1)),
    ),
    text(
      'to',
      moved.map(patch => patch.season),
    ),
    { name: 'label', type: 'number', values: Float64Array.from(moved, patch => 12 + patch.fid) },
  ])
}
