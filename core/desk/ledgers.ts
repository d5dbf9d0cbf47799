import type { LedgerTable, MapLayerId, SeasonChoice } from '../desk-view.ts'
import { columnValue, findColumn, type Layer } from '../geo/index.ts'
import { findSeason, type Patch, type QuantityKind } from '../model/index.ts'
import { namesOf } from './feature-ids.ts'
import { type ReachRow, reachRow } from './reach-table.ts'
import type { DeskState } from './state.ts'
import { waterAnswer } from './water-answer.ts'

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

/** What a table is made of: cells are worked out only for the rows that are asked for. */
interface Sheet<T> {
  readonly columns: readonly Column<T>[]
  readonly rows: readonly Row<T>[]
}

interface Asked {
  readonly state: DeskState
  readonly id: MapLayerId
  readonly layer: Layer
  readonly choice: SeasonChoice
  /** One feature alone, for its card. */
  readonly only: number | null
}

function tableOf<T>({ id, only }: Asked, { columns, rows }: Sheet<T>): LedgerTable {
  const kept = only === null ? rows : rows.filter(row => row.fid === only)
  return {
    layer: id,
    title: TITLES[id],
    columns: columns.map(({ id: name, label, kind }) => ({ id: name, label, kind })),
    rows: kept.map(({ row }) => columns.map(column => column.of(row))),
    fids: kept.map(({ fid }) => fid),
    ids: kept.map(row => row.id),
  }
}

/** The table of a layer for the seasons chosen; the same features as on the map, under the same fids. */
export function buildLedger(
  state: DeskState,
  { id, layer }: { readonly id: MapLayerId; readonly layer: Layer | undefined },
  choice: SeasonChoice,
  only: number | null = null,
): LedgerTable {
  if (!layer) return { layer: id, title: TITLES[id], columns: [], rows: [], fids: [], ids: [] }
  const asked: Asked = { state, id, layer, choice, only }
  if (id === 'patches') return patchLedger(asked)
  if (id === 'reaches') return reachLedger(asked)
  if (id === 'parcels') return parcelLedger(asked)
  if (id === 'finds' || id === 'clear') return reportLedger(asked)
  if (id === 'arrows') return arrowLedger(asked)
  return plainLedger(asked)
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

const OUTLIER_WORDS: Readonly<Record<string, string>> = { jump: 'jumped', far: 'far, age unknown' }

function patchLedger(asked: Asked): LedgerTable {
  const { choice, layer } = asked
  const { run } = asked.state
  const nameOf = namesOf(asked.state, 'patches', layer)
  const outliers = findColumn(layer, 'outlier')
  const outlierOf = (fid: number) => OUTLIER_WORDS[String(outliers && columnValue(outliers, fid))] ?? null
  const history = (patch: Patch) => run?.histories.find(h => h.season === patch.season && h.patchId === patch.id)
  const fidOf = new Map((run?.outlines.flatMap(outline => outline.patches) ?? []).map((patch, fid) => [patch, fid]))
  const columns: Column<Patch>[] = [
    { id: 'id', label: 'Patch', kind: 'text', of: patch => patch.id },
    { id: 'season', label: 'Season', kind: 'text', of: patch => patch.season },
    { id: 'status', label: 'Status', kind: 'text', of: patch => history(patch)?.status.replace('_', ' ') ?? null },
    { id: 'outlier', label: 'Outlier', kind: 'text', of: patch => outlierOf(fidOf.get(patch)!) },
    { id: 'gross', label: 'Gross area', kind: 'area', of: patch => patch.grossArea },
    { id: 'infested', label: 'Infested area', kind: 'area', of: patch => patch.infestedArea },
    { id: 'canopy', label: 'Net canopy', kind: 'area', of: patch => patch.netCanopy },
    { id: 'measured', label: 'Measured', kind: 'share', of: patch => patch.measuredShare },
    { id: 'reports', label: 'Reports', kind: 'count', of: patch => patch.reportIds.length },
    { id: 'first', label: 'First seen', kind: 'date', of: patch => patch.firstSeen },
    { id: 'last', label: 'Last seen', kind: 'date', of: patch => patch.lastSeen },
  ]
  const rows = [...fidOf]
    .map(([row, fid]) => ({ fid, id: nameOf(fid), row }))
    .filter(({ row }) => row.season === choice.shown || row.season === choice.compared)
  return tableOf(asked, { columns, rows })
}

function reachLedger(asked: Asked): LedgerTable {
  const { run } = asked.state
  const { shown } = asked.choice
  if (!run?.network) return tableOf(asked, { columns: [], rows: [] })
  const { network } = run
  const answer = waterAnswer(run, shown)
  // The cells of one reach are asked for in turn.
  const held: { fid: number; row: ReachRow } = { fid: -1, row: {} }
  const rowOf = (fid: number): ReachRow => {
    if (held.fid !== fid) Object.assign(held, { fid, row: reachRow(network, answer, fid) })
    return held.row
  }
  const cell = (name: string) => (fid: number) => rowOf(fid)[name] as Cell
  const columns: Column<number>[] = [
    { id: 'id', label: 'Reach', kind: 'text', of: fid => String(fid + 1) },
    { id: 'name', label: 'Water', kind: 'text', of: cell('name') },
    { id: 'look', label: `Look, ${shown}`, kind: 'text', of: cell('look') },
    { id: 'flood_look', label: `Look in flood, ${shown}`, kind: 'text', of: cell('flood_look') },
    { id: 'firmness', label: 'Firmness', kind: 'share', of: cell('look_firmness') },
    { id: 'length', label: 'Length', kind: 'length', of: cell('length_m') },
    { id: 'source', label: 'Main source', kind: 'text', of: cell('main_source') },
    { id: 'share', label: 'Its share', kind: 'share', of: cell('main_source_share') },
    { id: 'strahler', label: 'Strahler order', kind: 'count', of: cell('strahler') },
    { id: 'evidence', label: 'Direction from', kind: 'text', of: cell('direction_evidence') },
    { id: 'problem', label: 'Problem', kind: 'text', of: cell('problem') },
  ]
  return tableOf(asked, { columns, rows: featureRows(asked) })
}

function parcelLedger(asked: Asked): LedgerTable {
  const { layer } = asked
  const { run, brief } = asked.state
  const byId = new Map(run?.parcelsAtRisk.map(parcel => [parcel.parcelId, parcel]) ?? [])
  const idName = brief.layers.parcels?.fields['id'] ?? layer.columns[0]?.name ?? ''
  const ids = layer.columns.find(column => column.name === idName)
  const idOf = namesOf(asked.state, 'parcels', layer)
  const rest = layer.columns.filter(column => column !== ids && column.name !== 'status')
  const columns: Column<number>[] = [
    { id: 'id', label: idName || 'Parcel', kind: 'text', of: idOf },
    { id: 'status', label: 'Status', kind: 'text', of: i => byId.get(idOf(i))?.status ?? null },
    { id: 'look', label: 'Look', kind: 'text', of: i => lookOf(byId.get(idOf(i))?.look) },
    { id: 'area', label: 'Patch area', kind: 'area', of: i => byId.get(idOf(i))?.patchArea ?? null },
    { id: 'bank', label: 'Bank length', kind: 'length', of: i => byId.get(idOf(i))?.bankLength ?? null },
    ...rest.map(column => plainColumn(column)),
  ]
  return tableOf(asked, { columns, rows: featureRows(asked) })
}

const lookOf = (look: string | undefined): string | null => (look === undefined || look === 'none' ? null : look)

const COUNTS_WORDS: Readonly<Record<string, string>> = {
  counts: 'yes',
  single: 'single find',
  imprecise: 'not for area',
  held: 'held back',
}

function reportLedger(asked: Asked): LedgerTable {
  const { state, id, layer, choice, only } = asked
  const nameOf = namesOf(state, id, layer)
  const fids = only === null ? Array.from({ length: layer.featureCount }, (_, fid) => fid) : [only]
  const reports = fids.map(fid => ({ fid, id: nameOf(fid), row: state.report(nameOf(fid)) }))
  type Found = NonNullable<(typeof reports)[number]['row']>
  const states = findColumn(layer, 'state')
  const stateOf = (fid: number) => (states ? String(columnValue(states, fid)) : '')
  const fidOf = new Map(reports.map(({ fid, row }) => [row, fid]))
  const counts: Column<Found>[] = states
    ? [{ id: 'counts', label: 'Counts', kind: 'text', of: row => COUNTS_WORDS[stateOf(fidOf.get(row)!)] ?? null }]
    : []
  const columns: Column<Found>[] = [
    { id: 'id', label: 'Report', kind: 'text', of: report => report.id },
    { id: 'date', label: 'Date', kind: 'date', of: report => report.date },
    {
      id: 'season',
      label: 'Season',
      kind: 'text',
      of: report => findSeason(state.vetted.seasons, report.date)?.id ?? null,
    },
    ...counts,
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
    const isHeld = stateOf(fid) === 'held'
    return isHeld || season === choice.shown || season === choice.compared ? [{ fid, id: reportId, row }] : []
  })
  return tableOf(asked, { columns, rows })
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

function arrowLedger(asked: Asked): LedgerTable {
  const cell = (name: string) => {
    const column = findColumn(asked.layer, name)
    return (fid: number) => (column ? (columnValue(column, fid) as Cell) : null)
  }
  const columns: Column<number>[] = [
    { id: 'from', label: 'From', kind: 'text', of: cell('from') },
    { id: 'to', label: 'To', kind: 'text', of: cell('to') },
    { id: 'move', label: 'Edge move', kind: 'length', of: cell('label') },
  ]
  return tableOf(asked, { columns, rows: featureRows(asked) })
}

const plainLedger = (asked: Asked): LedgerTable =>
  tableOf(asked, { columns: asked.layer.columns.map(plainColumn), rows: featureRows(asked) })

function featureRows({ state, id, layer, only }: Asked): Row<number>[] {
  const nameOf = namesOf(state, id, layer)
  const fids = only === null ? Array.from({ length: layer.featureCount }, (_, fid) => fid) : [only]
  return fids.map(fid => ({ fid, id: nameOf(fid), row: fid }))
}
