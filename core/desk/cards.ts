import type { FeatureCard, MapLayer, MapLayerId, SeasonChoice } from '../desk-view.ts'
import { columnValue, findColumn, type Layer } from '../geo/index.ts'
import type { Phrase, Quantity } from '../model/index.ts'
import { boxOfFeature } from './feature-box.ts'
import { shapeOfFeature } from './feature-shape.ts'
import { buildLedger } from './ledgers.ts'
import type { DeskState } from './state.ts'
import { waterAnswer } from './water-answer.ts'

/** What stands behind one feature: its row of the ledger in full, and the reasons that go with its layer. */
export function buildCard(
  state: DeskState,
  { id: layerId, layer }: MapLayer,
  fid: number,
  chosen: SeasonChoice,
): FeatureCard {
  const season = seasonOf(layerId, layer, fid)
  const choice = { shown: season ?? chosen.shown, compared: null }
  const ledger = buildLedger(state, { id: layerId, layer }, choice, fid)
  const at = ledger.fids.indexOf(fid)
  const cells = ledger.rows[at] ?? []
  const id = ledger.ids[at] ?? String(fid + 1)
  // The title says the name.
  const isName = (column: string, value: string | number) => column === 'id' && id.endsWith(String(value))
  const rows = ledger.columns.flatMap((column, i): { label: string; quantity: Quantity }[] => {
    const value = cells[i] ?? null
    return value === null || isName(column.id, value)
      ? []
      : [{ label: column.label, quantity: { kind: column.kind, value } }]
  })
  return {
    layer: layerId,
    fid,
    season,
    id,
    title: titleOf(layerId, rows, id),
    rows,
    why: whyOf(state, layerId, { fid, id, season: choice.shown }),
    box: boxOfFeature(layer, fid),
    shape: shapeOfFeature(layer, fid),
  }
}

/** A file may bring a column of that name too: it is no season of ours. */
const SEASON_COLUMNS: Readonly<Partial<Record<MapLayerId, string>>> = {
  patches: 'season',
  finds: 'season',
  clear: 'season',
  searched: 'season',
  arrows: 'to',
}

function seasonOf(id: MapLayerId, layer: Layer, fid: number): string | null {
  const column = findColumn(layer, SEASON_COLUMNS[id] ?? '')
  const value = column ? columnValue(column, fid) : null
  return value === null || value === '' ? null : String(value)
}

/** What one feature of a layer is called, before its name. */
const NOUNS: Readonly<Record<MapLayerId, string>> = {
  parcels: 'Parcel',
  boundary: 'Programme boundary',
  flood: 'Flood extent',
  searched: 'Searched ground',
  reference: 'Reference feature',
  carriers: 'Carrier',
  reaches: 'Reach',
  patches: 'Patch',
  finds: 'Report',
  clear: 'Report',
  arrows: 'Edge move',
}

function titleOf(layer: MapLayerId, rows: FeatureCard['rows'], id: string): string {
  const named = rows.find(row => /^(water|name)$/i.test(row.label))?.quantity.value
  if (layer === 'reaches') return named ? `${named}, reach ${id}` : `Reach ${id}`
  if (layer === 'patches') return `Patch ${id.split('/').reverse().join(', ')}`
  if (layer === 'arrows' || layer === 'boundary') return NOUNS[layer]
  return (layer === 'reference' || layer === 'carriers') && named ? String(named) : `${NOUNS[layer]} ${id}`
}

interface Told {
  readonly fid: number
  readonly id: string
  readonly season: string
}

function whyOf(state: DeskState, layer: MapLayerId, { fid, id, season }: Told): Phrase[] {
  if (layer === 'patches') return patchWhy(state, fid)
  if (layer === 'reaches') return reachWhy(state, fid, season)
  if (layer === 'finds' || layer === 'clear') return reportWhy(state, id)
  return []
}

function patchWhy({ run, brief }: DeskState, fid: number): Phrase[] {
  const patch = run?.outlines.flatMap(outline => outline.patches)[fid]
  if (!run || !patch) return []
  const history = run.histories.find(h => h.season === patch.season && h.patchId === patch.id)
  const outlier = run.advance.outliers.find(o => o.season === patch.season && o.patchId === patch.id)
  const why: Phrase[] = [
    patch.reportIds.length === 1
      ? ['One report makes this patch.']
      : [
          { kind: 'count', value: patch.reportIds.length, noun: ['report lies', 'reports lie'] },
          ' within ',
          { kind: 'length', value: brief.outline.join },
          ' of each other, edge to edge.',
        ],
  ]
  if (history && history.linkedFrom.length > 0)
    why.push([
      `It overlaps ${history.linkedFrom.join(', ')} of the season before: ${history.status.replace('_', ' ')}.`,
    ])
  if (history?.status === 'newly_found')
    why.push(['No earlier season had searched this ground: its age is unknown, and it counts as no advance.'])
  if (outlier)
    why.push([
      outlier.isAgeUnknown ? 'It is far, age unknown: it stands ' : 'An outlier patch: it stands ',
      { kind: 'length', value: outlier.distance },
      ` from last season's extent, farther than stems grow in a season; likeliest route: ${outlier.route}.`,
    ])
  return why
}

function reachWhy({ run }: DeskState, fid: number, season: string): Phrase[] {
  if (!run?.network) return []
  const note = run.network.problems
    .filter(problem => problem.reaches.includes(fid))
    .map((problem): Phrase => [problem.note])
  const answer = waterAnswer(run, season)
  if (!answer) return note
  const source = answer.ordinary.mainSource[fid]!
  if (source < 0) return [...note, [`No patch of ${season} reaches it by water.`]]
  return [
    ...note,
    [
      { kind: 'share', value: answer.ordinary.mainSourceShare[fid]! },
      ` of what would settle here comes from patch ${answer.patchIds[source]}. A guide for looking, not proof of presence.`,
    ],
  ]
}

const reportWhy = (state: DeskState, id: string): Phrase[] =>
  state.vetted.findings.filter(finding => finding.reportId === id).map((finding): Phrase => [finding.reason])
