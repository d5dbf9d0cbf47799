import type { MapLayer, MapLayerId } from '../desk-view.ts'
import {
  type Column,
  destination,
  type Geometry,
  geometryFromPaths,
  geometryFromPoints,
  geometryFromPolygons,
  type Layer,
  layerOf,
} from '../geo/index.ts'
import { LOOK_ORDER, type MultiPolygon, NETWORK_PROBLEM } from '../model/index.ts'
import { newestAnswer, reachPath } from './outputs.ts'
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
  add('reference', mergeLines(gathered.reference))
  add('carriers', gathered.layers.carriers)
  add('reaches', reachLayer(state))
  add('patches', patchLayer(state))
  add('clear', clearLayer(state))
  add('finds', findLayer(state))
  add('arrows', arrowLayer(state))
  return layers
}

const text = (name: string, values: readonly (string | null)[]): Column => ({ name, type: 'text', values })
const number = (name: string, values: readonly number[]): Column => ({
  name,
  type: 'number',
  values: Float64Array.from(values),
})

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
  return { ...parcels, columns: [...parcels.columns, text('status', status)] }
}

function searchedLayer({ run, vetted }: DeskState): Layer | null {
  if (!run) return null
  const dated = run.inputs.searched.filter(area => area.shape.length > 0)
  const seasonOf = (date: string | null) =>
    vetted.seasons.find(season => date !== null && date >= season.start && date <= season.end)?.id ?? ''
  return layerOf('searched', geometryFromPolygons(dated.map(area => area.shape)), 'EPSG:4326', [
    text(
      'season',
      dated.map(area => seasonOf(area.date)),
    ),
  ])
}

function mergeLines(layers: readonly Layer[]): Layer | null {
  const lines = layers.filter(layer => layer.kind === 'line')
  return lines.length === 1
    ? lines[0]!
    : lines.length === 0
      ? null
      : layerOf('reference', concatenate(lines), 'EPSG:4326')
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
  const answer = newestAnswer(run.downstream)
  const reaches = Array.from({ length: network.reachCount }, (_, i) => i)
  const look = (index: number | undefined) => (index === undefined || index === 0 ? '' : LOOK_ORDER[index]!)
  const line = (i: number) => network.lines[network.line[i]!]!
  return layerOf('reaches', geometryFromPaths(reaches.map(i => [reachPath(network, i)])), 'EPSG:4326', [
    text(
      'look',
      reaches.map(i => look(answer?.ordinary.look[i])),
    ),
    text(
      'flood_look',
      reaches.map(i => look(answer?.flood.look[i])),
    ),
    number(
      'width',
      reaches.map(i => line(i).width ?? Number.NaN),
    ),
    text(
      'name',
      reaches.map(i => line(i).name),
    ),
    text(
      'problem',
      reaches.map(i => (network.problem[i] === 0 ? null : NETWORK_PROBLEM[network.problem[i]!]!)),
    ),
    text(
      'id',
      reaches.map(i => String(i + 1)),
    ),
  ])
}

function patchLayer({ run }: DeskState): Layer | null {
  if (!run) return null
  const patches = run.outlines.flatMap(outline => outline.patches)
  const history = (season: string, id: string) => run.histories.find(h => h.season === season && h.patchId === id)
  const isOutlier = (season: string, id: string) =>
    run.advance.outliers.some(o => o.season === season && o.patchId === id)
  const shapes: MultiPolygon[] = patches.map(patch => patch.outline)
  return layerOf('patches', geometryFromPolygons(shapes), 'EPSG:4326', [
    text(
      'id',
      patches.map(patch => patch.id),
    ),
    text(
      'season',
      patches.map(patch => patch.season),
    ),
    text(
      'status',
      patches.map(patch => history(patch.season, patch.id)?.status ?? ''),
    ),
    { name: 'outlier', type: 'boolean', values: Uint8Array.from(patches, p => (isOutlier(p.season, p.id) ? 1 : 0)) },
    text(
      'label',
      patches.map(patch => patch.id),
    ),
  ])
}

/** Finds of every season with what they count for; held ones are reports that no answer uses. */
function findLayer(state: DeskState): Layer {
  const { vetted, run } = state
  const singles = new Set(run?.outlines.flatMap(outline => outline.singles.flatMap(single => single.reportIds)) ?? [])
  const rows = vetted.sightings.flatMap(({ finds }) =>
    finds.map(find => {
      const stateName = !find.makesArea ? 'imprecise' : singles.has(find.reportId) ? 'single' : 'counts'
      return { id: find.reportId, season: find.season, at: state.place(find.reportId), state: stateName }
    }),
  )
  return layerOf('finds', geometryFromPoints(rows.map(row => row.at)), 'EPSG:4326', [
    text(
      'id',
      rows.map(row => row.id),
    ),
    text(
      'season',
      rows.map(row => row.season),
    ),
    text(
      'state',
      rows.map(row => row.state),
    ),
  ])
}

function clearLayer(state: DeskState): Layer {
  const visits = state.vetted.sightings.flatMap(({ visits }) => visits.filter(visit => !visit.isFound))
  return layerOf('clear', geometryFromPoints(visits.map(visit => state.place(visit.reportId))), 'EPSG:4326', [
    text(
      'id',
      visits.map(visit => visit.reportId),
    ),
    text(
      'season',
      visits.map(visit => visit.season),
    ),
  ])
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
  return layerOf('arrows', geometryFromPaths(paths), 'EPSG:4326', [
    text(
      'from',
      clear.map(family => family.from),
    ),
    text(
      'to',
      clear.map(family => family.to),
    ),
    number(
      'label',
      clear.map(family => family.moveTowardShift),
    ),
  ])
}
