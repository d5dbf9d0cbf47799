import type { MapLayer, MapLayerId } from '../desk-view.ts'
import {
  type Column,
  columnValue,
  destination,
  type Geometry,
  GeometryBuilder,
  geometryBounds,
  geometryFromPaths,
  geometryFromPoints,
  geometryFromPolygons,
  type Layer,
  layerOf,
} from '../geo/index.ts'
import { type Box, findSeason, LOOK_ORDER, NETWORK_PROBLEM, type Patch } from '../model/index.ts'
import { reachPath } from './outputs.ts'
import { type ReferenceSource, referenceSources } from './reference-sources.ts'
import type { DeskState } from './state.ts'

/** Layers of the map as far as they are known: inputs once a brief is open, answers once a run is done. */
export function buildMapLayers(state: DeskState): MapLayer[] {
  const { gathered } = state
  const layers: MapLayer[] = []
  const add = (id: MapLayerId, layer: Layer | null | undefined) => {
    if (layer && layer.featureCount > 0) layers.push({ id, layer })
  }
  add('parcels', parcelLayer(state))
  add('boundary', gathered.layers.boundary)
  add('flood', gathered.layers.flood)
  add('searched', searchedLayer(state))
  const sources = referenceSources(state).filter(source => source.layer.featureCount > 0)
  const reference = referenceLayer(sources)
  if (reference) layers.push({ id: 'reference', layer: reference, sources: sources.map(source => source.name) })
  add('carriers', gathered.layers.carriers)
  add('reaches', reachLayer(state))
  add('patches', patchLayer(state))
  add('clear', clearLayer(state))
  add('finds', findLayer(state))
  add('arrows', arrowLayer(state))
  return layers
}

interface Cells<T> {
  readonly text?: Readonly<Record<string, (row: T) => string | null>>
  readonly number?: Readonly<Record<string, (row: T) => number>>
}

/** The column that holds the look at a reach for a season, in ordinary flow or in flood. */
export const lookColumn = (flow: 'look' | 'flood_look', season: string): string => `${flow}/${season}`

/** Columns of one value a row; the names of `text` first. */
function columnsOf<T>(rows: readonly T[], { text = {}, number = {} }: Cells<T>): Column[] {
  return [
    ...Object.entries(text).map(([name, of]): Column => ({ name, type: 'text', values: rows.map(of) })),
    ...Object.entries(number).map(
      ([name, of]): Column => ({ name, type: 'number', values: Float64Array.from(rows, of) }),
    ),
  ]
}

function parcelLayer({ gathered, run, brief }: DeskState): Layer | null {
  const parcels = gathered.layers.parcels
  if (!parcels) return null
  const status = new Array<string>(parcels.featureCount).fill('')
  if (run) {
    const byId = new Map(run.parcelsAtRisk.map(parcel => [parcel.parcelId, parcel.status]))
    const idField = brief.layers.parcels?.fields['id']
    const ids = parcels.columns.find(column => column.name === idField)
    if (ids?.type === 'text') for (const [i, id] of ids.values.entries()) status[i] = byId.get(id ?? '') ?? ''
  }
  return { ...parcels, columns: [...parcels.columns, ...columnsOf(status, { text: { status: value => value } })] }
}

function searchedLayer({ run, vetted }: DeskState): Layer | null {
  if (!run) return null
  const dated = run.inputs.searched.filter(area => area.shape.length > 0)
  const seasonOf = (date: string | null) =>
    vetted.seasons.find(season => date !== null && date >= season.start && date <= season.end)?.id ?? ''
  return layerOf(
    'searched',
    geometryFromPolygons(dated.map(area => area.shape)),
    'EPSG:4326',
    columnsOf(dated, { text: { season: area => seasonOf(area.date) } }),
  )
}

/** Every reference layer of the brief in one, each feature with its `source` and what its own file says of it. */
function referenceLayer(drawn: readonly ReferenceSource[]): Layer | null {
  if (drawn.length === 0) return null
  const rows = drawn.flatMap(source =>
    Array.from({ length: source.layer.featureCount }, (_, feature) => ({ source, feature })),
  )
  const names = [...new Set(drawn.flatMap(({ layer }) => layer.columns.map(column => column.name)))]
  const cell = (name: string) => (row: (typeof rows)[number]) => {
    const column = row.source.layer.columns.find(entry => entry.name === name)
    const value = column ? columnValue(column, row.feature) : null
    return value === null ? null : String(value)
  }
  return layerOf('reference', concatenate(drawn.map(({ layer }) => layer)), 'EPSG:4326', [
    ...columnsOf(rows, { text: Object.fromEntries(names.map(name => [name, cell(name)])) }),
    ...columnsOf(rows, { text: { source: row => row.source.name } }),
  ])
}

/** Geometry of several layers in turn. */
function concatenate(layers: readonly Layer[]): Geometry {
  const shift = (of: (geometry: Geometry) => Uint32Array) => {
    const values = [0]
    for (const { geometry } of layers) {
      const base = values.at(-1)!
      for (const offset of of(geometry).subarray(1)) values.push(base + offset)
    }
    return Uint32Array.from(values)
  }
  const coords = new Float64Array(layers.reduce((sum, { geometry }) => sum + geometry.coords.length, 0))
  let used = 0
  for (const { geometry } of layers) {
    coords.set(geometry.coords, used)
    used += geometry.coords.length
  }
  const kinds = Uint8Array.from(layers.flatMap(({ geometry }) => [...geometry.kinds]))
  return { coords, rings: shift(g => g.rings), parts: shift(g => g.parts), features: shift(g => g.features), kinds }
}

function reachLayer({ run }: DeskState): Layer | null {
  if (!run?.network) return null
  const { network } = run
  const reaches = Array.from({ length: network.reachCount }, (_, i) => i)
  const look = (index: number | undefined) => (index === undefined || index === 0 ? '' : LOOK_ORDER[index]!)
  const line = (i: number) => network.lines[network.line[i]!]!
  const looks = run.downstream.flatMap((answer): [string, (i: number) => string][] =>
    answer === null
      ? []
      : [
          [lookColumn('look', answer.season), i => look(answer.ordinary.look[i])],
          [lookColumn('flood_look', answer.season), i => look(answer.flood.look[i])],
        ],
  )
  return layerOf(
    'reaches',
    geometryFromPaths(reaches.map(i => [reachPath(network, i)])),
    'EPSG:4326',
    columnsOf(reaches, {
      text: {
        ...Object.fromEntries(looks),
        name: i => line(i).name,
        problem: i => (network.problem[i] === 0 ? null : NETWORK_PROBLEM[network.problem[i]!]!),
        id: i => String(i + 1),
      },
      number: { width: i => line(i).width ?? Number.NaN, order: i => network.strahler[i]! },
    }),
  )
}

function patchLayer({ run }: DeskState): Layer | null {
  if (!run) return null
  const patches = run.outlines.flatMap(outline => outline.patches)
  const keyed = <T extends { readonly season: string; readonly patchId: string }>(rows: readonly T[]) =>
    new Map(rows.map(row => [`${row.season}/${row.patchId}`, row]))
  const [histories, outliers] = [keyed(run.histories), keyed(run.advance.outliers)]
  const outlierOf = (patch: Patch) => {
    const outlier = outliers.get(`${patch.season}/${patch.id}`)
    return outlier ? (outlier.isAgeUnknown ? 'far' : 'jump') : ''
  }
  return layerOf(
    'patches',
    geometryFromPolygons(patches.map(patch => patch.outline)),
    'EPSG:4326',
    columnsOf(patches, {
      text: {
        id: patch => patch.id,
        season: patch => patch.season,
        status: patch => histories.get(`${patch.season}/${patch.id}`)?.status ?? '',
        outlier: outlierOf,
        label: patch => patch.id,
      },
    }),
  )
}

/**
 * Finds of every season with what they count for, then the reports that were held back and that no answer uses.
 * A held report far outside the district, as one with swapped coordinates, stands in the table without a place.
 */
function findLayer(state: DeskState): Layer {
  const { vetted, run } = state
  const singles = new Set(run?.outlines.flatMap(outline => outline.singles.flatMap(single => single.reportIds)) ?? [])
  const finds = vetted.sightings.flatMap(sighting =>
    sighting.finds.map(find => ({
      id: find.reportId,
      season: find.season,
      state: !find.makesArea ? 'imprecise' : singles.has(find.reportId) ? 'single' : 'counts',
    })),
  )
  const held = vetted.admissions
    .filter(admission => !admission.isAdmitted)
    .map(({ reportId }) => {
      const report = state.report(reportId)
      const season = report ? findSeason(vetted.seasons, report.date) : undefined
      return { id: reportId, season: season?.id ?? '', state: 'held' }
    })
  const rows = [...finds, ...held]
  return layerOf('finds', placeFinds(rows, state), 'EPSG:4326', [
    ...columnsOf(rows, { text: { id: row => row.id, season: row => row.season, state: row => row.state } }),
  ])
}

function placeFinds(rows: readonly { readonly id: string; readonly state: string }[], state: DeskState): Geometry {
  const sure = rows.filter(row => row.state !== 'held').map(row => state.place(row.id))
  const district = geometryBounds(geometryFromPoints(sure))
  const builder = new GeometryBuilder()
  for (const { id, state: counts } of rows) {
    const [longitude, latitude] = state.place(id)
    if (counts !== 'held' || (district && isNear(district, longitude, latitude))) builder.addPoint(longitude, latitude)
    else builder.endFeature('none')
  }
  return builder.build()
}

/** Within the box grown by its own size on every side. */
const isNear = ([west, south, east, north]: Box, longitude: number, latitude: number): boolean =>
  longitude >= 2 * west - east &&
  longitude <= 2 * east - west &&
  latitude >= 2 * south - north &&
  latitude <= 2 * north - south

function clearLayer(state: DeskState): Layer {
  const visits = state.vetted.sightings.flatMap(({ visits }) => visits.filter(visit => !visit.isFound))
  return layerOf(
    'clear',
    geometryFromPoints(visits.map(visit => state.place(visit.reportId))),
    'EPSG:4326',
    columnsOf(visits, { text: { id: visit => visit.reportId, season: visit => visit.season } }),
  )
}

/** Families whose edge moved by more than twice its standard error, as arrows along their shift. */
function arrowLayer({ run, vetted }: DeskState): Layer | null {
  if (!run) return null
  const { frame } = vetted.tools
  const clear = run.advance.families.filter(f => Math.abs(f.moveTowardShift) > 2 * f.moveStandardError)
  const paths = clear.map(family => {
    const [lon, lat] = frame.toGlobe(family.x, family.y)
    const azimuth = (Math.atan2(family.shift[0], family.shift[1]) * 180) / Math.PI
    // A move of a few metres would not be seen: the arrow is drawn ten times as long and labelled with the true figure.
    const tip = destination(lon, lat, azimuth, Math.max(60, Math.abs(family.moveTowardShift) * 10))
    return [Float64Array.of(lon, lat, tip[0], tip[1])]
  })
  return layerOf(
    'arrows',
    geometryFromPaths(paths),
    'EPSG:4326',
    columnsOf(clear, {
      text: { from: family => family.from, to: family => family.to },
      number: { label: family => family.moveTowardShift },
    }),
  )
}
