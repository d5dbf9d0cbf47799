import type { LedgerTable, MapLayerId, SeasonChoice } from '../desk-view.ts'
import { columnValue, type Layer } from '../geo/index.ts'
import { findSeason, type Patch, type QuantityKind } from '../model/index.ts'
import { newestAnswer } from './outputs.ts'
import { type ReachRow, reachRow } from './reach-table.ts'
import type { DeskState } from './state.ts'

type Cell = string | number | null
interface Column<T> {
  readonly id: string
  readonly label: string
  readonly kind: QuantityKind
  readonly of: (row: T) => Cell
}

interface Row<T> {
  readonly fid: number
  readonly id: string
  readonly row: T
}

function table<T>(
  layer: MapLayerId,
  title: string,
  columns: readonly Column<T>[],
  rows: readonly Row<T>[],
): LedgerTable {
  return {
    layer,
    title,
    columns: columns.map(({ id, label, kind }) => ({ id, label, kind })),
    rows: rows.map(({ row }) => columns.map(column => column.of(row))),
    fids: rows.map(({ fid }) => fid),
    ids: rows.map(({ id }) => id),
  }
}

/** The table of a layer for the seasons chosen; the same features as on the map, under the same fids. */
export function buildLedger(
  state: DeskState,
  layerId: MapLayerId,
  layer: Layer | undefined,
  choice: SeasonChoice,
): LedgerTable {
  if (!layer) return table(layerId, TITLES[layerId], [], [])
  if (layerId === 'patches') return patchLedger(state, choice)
  if (layerId === 'reaches') return reachLedger(state)
  if (layerId === 'parcels') return parcelLedger(state, layer)
  if (layerId === 'finds' || layerId === 'clear') return reportLedger(state, layerId, layer, choice)
  return plainLedger(layerId, layer)
}

const TITLES: Readonly<Record<MapLayerId, string>> = {
  parcels: 'Parcels',
  boundary: 'Programme boundary',
  flood: 'Flood extent',
  searched: 'Searched ground',
  reference: 'Reference lines',
  carriers: 'Carriers',
  reaches: 'Reaches',
  patches: 'Patches',
  finds: 'Finds',
  clear: 'Not found',
  arrows: 'Edge moves',
}

function patchLedger({ run }: DeskState, choice: SeasonChoice): LedgerTable {
  const history = (patch: Patch) => run?.histories.find(h => h.season === patch.season && h.patchId === patch.id)
  const columns: Column<Patch>[] = [
    { id: 'id', label: 'Patch', kind: 'text', of: patch => patch.id },
    { id: 'season', label: 'Season', kind: 'text', of: patch => patch.season },
    { id: 'status', label: 'Status', kind: 'text', of: patch => history(patch)?.status.replace('_', ' ') ?? null },
    { id: 'gross', label: 'Gross area', kind: 'area', of: patch => patch.grossArea },
    { id: 'infested', label: 'Infested area', kind: 'area', of: patch => patch.infestedArea },
    { id: 'canopy', label: 'Net canopy', kind: 'area', of: patch => patch.netCanopy },
    { id: 'measured', label: 'Measured', kind: 'share', of: patch => patch.measuredShare },
    { id: 'reports', label: 'Reports', kind: 'count', of: patch => patch.reportIds.length },
    { id: 'first', label: 'First seen', kind: 'date', of: patch => patch.firstSeen },
    { id: 'last', label: 'Last seen', kind: 'date', of: patch => patch.lastSeen },
  ]
  const rows = (run?.outlines.flatMap(outline => outline.patches) ?? [])
    .map((row, fid) => ({ fid, id: `${row.season}/${row.id}`, row }))
    .filter(({ row }) => row.season === choice.shown || row.season === choice.compared)
  return table('patches', TITLES.patches, columns, rows)
}

function reachLedger({ run }: DeskState): LedgerTable {
  if (!run?.network) return table('reaches', TITLES.reaches, [], [])
  const { network } = run
  const answer = newestAnswer(run.downstream)
  const cell = (name: string) => (row: ReachRow) => row[name] as Cell
  const columns: Column<ReachRow>[] = [
    { id: 'id', label: 'Reach', kind: 'text', of: row => String(row['reach_id']) },
    { id: 'name', label: 'Water', kind: 'text', of: cell('name') },
    { id: 'look', label: 'Look', kind: 'text', of: cell('look') },
    { id: 'flood_look', label: 'Look, flood', kind: 'text', of: cell('flood_look') },
    { id: 'firmness', label: 'Firmness', kind: 'share', of: cell('look_firmness') },
    { id: 'length', label: 'Length', kind: 'length', of: cell('length_m') },
    { id: 'source', label: 'Main source', kind: 'text', of: cell('main_source') },
    { id: 'share', label: 'Its share', kind: 'share', of: cell('main_source_share') },
    { id: 'strahler', label: 'Strahler order', kind: 'count', of: cell('strahler') },
    { id: 'evidence', label: 'Direction from', kind: 'text', of: cell('direction_evidence') },
    { id: 'problem', label: 'Problem', kind: 'text', of: cell('problem') },
  ]
  const rows = Array.from({ length: network.reachCount }, (_, fid) => ({
    fid,
    id: String(fid + 1),
    row: reachRow(network, answer, fid),
  }))
  return table('reaches', TITLES.reaches, columns, rows)
}

function parcelLedger({ run, brief }: DeskState, layer: Layer): LedgerTable {
  const byId = new Map(run?.parcelsAtRisk.map(parcel => [parcel.parcelId, parcel]) ?? [])
  const idName = brief.layers.parcels?.fields['id'] ?? layer.columns[0]?.name ?? ''
  const ids = layer.columns.find(column => column.name === idName)
  const idOf = (i: number) => String((ids && columnValue(ids, i)) ?? i + 1)
  const rest = layer.columns.filter(column => column !== ids && column.name !== 'status')
  const columns: Column<number>[] = [
    { id: 'id', label: idName || 'Parcel', kind: 'text', of: idOf },
    { id: 'status', label: 'Status', kind: 'text', of: i => byId.get(idOf(i))?.status ?? null },
    { id: 'look', label: 'Look', kind: 'text', of: i => lookOf(byId.get(idOf(i))?.look) },
    { id: 'area', label: 'Patch area', kind: 'area', of: i => byId.get(idOf(i))?.patchArea ?? null },
    { id: 'bank', label: 'Bank length', kind: 'length', of: i => byId.get(idOf(i))?.bankLength ?? null },
    ...rest.map(column => plainColumn(column)),
  ]
  const rows = Array.from({ length: layer.featureCount }, (_, fid) => ({ fid, id: idOf(fid), row: fid }))
  return table('parcels', TITLES.parcels, columns, rows)
}

const lookOf = (look: string | undefined): string | null => (look === undefined || look === 'none' ? null : look)

function reportLedger(state: DeskState, id: 'finds' | 'clear', layer: Layer, choice: SeasonChoice): LedgerTable {
  const ids = layer.columns.find(column => column.name === 'id')
  const reports = Array.from({ length: layer.featureCount }, (_, fid) => {
    const reportId = String(ids && columnValue(ids, fid))
    return { fid, id: reportId, row: state.report(reportId) }
  })
  type Found = NonNullable<(typeof reports)[number]['row']>
  const columns: Column<Found>[] = [
    { id: 'id', label: 'Report', kind: 'text', of: report => report.id },
    { id: 'date', label: 'Date', kind: 'date', of: report => report.date },
    {
      id: 'season',
      label: 'Season',
      kind: 'text',
      of: report => findSeason(state.vetted.seasons, report.date)?.id ?? null,
    },
    { id: 'evidence', label: 'Evidence', kind: 'text', of: report => report.evidence },
    { id: 'cover', label: 'Cover class', kind: 'text', of: report => report.coverClass },
    { id: 'size', label: 'Size', kind: 'area', of: report => report.size },
    { id: 'accuracy', label: 'Accuracy', kind: 'length', of: report => report.accuracy },
    { id: 'training', label: 'Training', kind: 'text', of: report => report.training },
    { id: 'status', label: 'Status', kind: 'text', of: report => report.status },
    { id: 'file', label: 'File', kind: 'text', of: report => report.file },
    { id: 'row', label: 'Row', kind: 'count', of: report => report.row },
  ]
  const rows = reports.flatMap(({ fid, id: reportId, row }) => {
    if (!row) return []
    const season = findSeason(state.vetted.seasons, row.date)?.id
    return season === choice.shown || season === choice.compared ? [{ fid, id: reportId, row }] : []
  })
  return table(id, TITLES[id], columns, rows)
}

function plainColumn(column: Layer['columns'][number]): Column<number> {
  const isCount = column.type === 'number' || column.type === 'integer'
  return {
    id: column.name,
    label: column.name,
    kind: isCount ? 'count' : 'text',
    of: i => {
      const value = columnValue(column, i)
      return typeof value === 'boolean' ? (value ? 'yes' : 'no') : value
    },
  }
}

function plainLedger(id: MapLayerId, layer: Layer): LedgerTable {
  const rows = Array.from({ length: layer.featureCount }, (_, fid) => ({ fid, id: String(fid + 1), row: fid }))
  return table(id, TITLES[id], layer.columns.map(plainColumn), rows)
}
