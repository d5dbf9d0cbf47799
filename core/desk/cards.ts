import type { FeatureCard, MapLayerId } from '../desk-view.ts'
import { columnValue, type Layer } from '../geo/index.ts'
import type { Phrase, Quantity } from '../model/index.ts'
import { boxOfFeature } from './feature-box.ts'
import { buildLedger } from './ledgers.ts'
import { newestAnswer } from './outputs.ts'
import type { DeskState } from './state.ts'

/** What stands behind one feature: its row of the ledger in full, and the reasons that go with its layer. */
export function buildCard(state: DeskState, layerId: MapLayerId, layer: Layer, fid: number): FeatureCard {
  const choice = { shown: seasonOf(layer, fid) ?? '', compared: null }
  const ledger = buildLedger(state, layerId, layer, choice)
  const at = ledger.fids.indexOf(fid)
  const cells = ledger.rows[at] ?? []
  const rows = ledger.columns.flatMap((column, i): { label: string; quantity: Quantity }[] => {
    const value = cells[i] ?? null
    return value === null ? [] : [{ label: column.label, quantity: { kind: column.kind, value } }]
  })
  const id = ledger.ids[at] ?? String(fid + 1)
  return {
    layer: layerId,
    fid,
    id,
    title: titleOf(layerId, rows, id),
    rows,
    why: whyOf(state, layerId, fid),
    box: boxOfFeature(layer, fid),
  }
}

function seasonOf(layer: Layer, fid: number): string | null {
  const column = layer.columns.find(entry => entry.name === 'season')
  const value = column ? columnValue(column, fid) : null
  return value === null ? null : String(value)
}

function titleOf(layer: MapLayerId, rows: FeatureCard['rows'], id: string): string {
  const named = rows.find(row => row.label === 'Water')?.quantity.value
  if (layer === 'reaches') return named ? `${named}, reach ${id}` : `Reach ${id}`
  if (layer === 'patches') return `Patch ${id.split('/').reverse().join(', ')}`
  if (layer === 'parcels') return `Parcel ${id}`
  if (layer === 'finds' || layer === 'clear') return `Report ${id}`
  return id
}

function whyOf(state: DeskState, layer: MapLayerId, fid: number): Phrase[] {
  if (layer === 'patches') return patchWhy(state, fid)
  if (layer === 'reaches') return reachWhy(state, fid)
  if (layer === 'finds' || layer === 'clear') return reportWhy(state, layer, fid)
  return []
}

function patchWhy({ run, brief }: DeskState, fid: number): Phrase[] {
  const patch = run?.outlines.flatMap(outline => outline.patches)[fid]
  if (!run || !patch) return []
  const history = run.histories.find(h => h.season === patch.season && h.patchId === patch.id)
  const outlier = run.advance.outliers.find(o => o.season === patch.season && o.patchId === patch.id)
  const why: Phrase[] = [
    [
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
      'It stands ',
      { kind: 'length', value: outlier.distance },
      ` from last season's extent, farther than stems grow in a season; likeliest route: ${outlier.route}.`,
    ])
  return why
}

function reachWhy({ run }: DeskState, fid: number): Phrase[] {
  const answer = run ? newestAnswer(run.downstream) : null
  if (!run?.network || !answer) return []
  const note = run.network.problems
    .filter(problem => problem.reaches.includes(fid))
    .map((problem): Phrase => [problem.note])
  const source = answer.ordinary.mainSource[fid]!
  if (source < 0) return [...note, ['No patch reaches it by water.']]
  return [
    ...note,
    [
      { kind: 'share', value: answer.ordinary.mainSourceShare[fid]! },
      ` of what would settle here comes from patch ${answer.patchIds[source]}. A guide for looking, not proof of presence.`,
    ],
  ]
}

function reportWhy(state: DeskState, layer: 'finds' | 'clear', fid: number): Phrase[] {
  const wanted = layer === 'finds'
  const ids = state.vetted.sightings.flatMap(({ finds, visits }) =>
    wanted ? finds.map(find => find.reportId) : visits.filter(visit => !visit.isFound).map(visit => visit.reportId),
  )
  const id = ids[fid]
  return state.vetted.findings.filter(finding => finding.reportId === id).map((finding): Phrase => [finding.reason])
}
