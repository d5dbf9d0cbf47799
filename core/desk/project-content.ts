import { type Column, geometryFromPoints, geometryFromPolygons, type Layer, layerOf } from '../geo/index.ts'
import type { Report } from '../model/index.ts'
import { patchProperties } from '../outline/index.ts'
import type { ProjectContent, ProjectLayer } from '../project/index.ts'
import { buildMapLayers } from './map-layers.ts'
import { newestAnswer } from './outputs.ts'
import { reachRow } from './reach-table.ts'
import type { DeskState } from './state.ts'

/** What the project file holds: every layer that came in, every result, the brief, and the run that made them. */
export function buildProjectContent(state: DeskState, version: string): ProjectContent {
  const { brief, gathered, vetted, run, runId } = state
  return {
    dataDate: vetted.dataDate,
    layers: [...inputLayers(state), ...resultLayers(state)],
    documents: [{ name: 'brief', json: JSON.stringify(brief) }],
    runs:
      run === null
        ? []
        : [
            {
              id: runId,
              parameters: JSON.stringify(brief),
              inputs: gathered.inputs.map(input => ({ name: input.name, digest: input.sha256 })),
              softwareVersion: version,
              warnings: state.warnings.map(warning => warning.message),
              dataDate: vetted.dataDate,
            },
          ],
  }
}

function inputLayers({ gathered, vetted }: DeskState): ProjectLayer[] {
  const held = new Map(vetted.admissions.map(admission => [admission.reportId, admission.reason]))
  const input = (layer: Layer, identifier: string, description: string): ProjectLayer => ({
    layer,
    role: 'input',
    identifier,
    description,
    runId: null,
  })
  const named = Object.entries(gathered.layers).map(([role, layer]) =>
    input({ ...layer, name: role }, role, `${role} as brought in`),
  )
  const reference = gathered.reference.map((layer, i) =>
    input({ ...layer, name: `reference_${i + 1}` }, `reference ${i + 1}`, 'reference layer as brought in'),
  )
  const reports = reportLayer(gathered.reports, held)
  return [input(reports, 'reports', 'reports of all files, with why any is held back'), ...named, ...reference]
}

function reportLayer(reports: readonly Report[], held: ReadonlyMap<string, string | null>): Layer {
  const text = (name: string, of: (report: Report) => string | null): Column => ({
    name,
    type: 'text',
    values: reports.map(of),
  })
  const number = (name: string, of: (report: Report) => number | null): Column => ({
    name,
    type: 'number',
    values: Float64Array.from(reports, report => of(report) ?? Number.NaN),
  })
  const geometry = geometryFromPoints(reports.map(report => [report.longitude, report.latitude]))
  return layerOf('reports', geometry, 'EPSG:4326', [
    text('report_id', report => report.id),
    { name: 'date', type: 'date', values: reports.map(report => report.date) },
    { name: 'found', type: 'boolean', values: Uint8Array.from(reports, report => (report.isFound ? 1 : 0)) },
    text('evidence', report => report.evidence),
    text('cover_class', report => report.coverClass),
    number('cover', report => report.cover),
    number('size_m2', report => report.size),
    number('accuracy_m', report => report.accuracy),
    number('accuracy_level', report => report.accuracyLevel),
    number('extent_m', report => report.extent),
    text('recorder', report => report.recorder),
    text('training', report => report.training),
    text('confirmed_by', report => report.confirmedBy),
    text('status', report => report.status),
    text('consent', report => report.consent),
    text('held_back', report => held.get(report.id) ?? null),
    text('file', report => report.file),
    number('row', report => report.row),
  ])
}

function resultLayers(state: DeskState): ProjectLayer[] {
  const { run, runId } = state
  if (!run) return []
  const result = (layer: Layer, description: string): ProjectLayer => ({
    layer,
    role: 'result',
    identifier: layer.name,
    description,
    runId,
  })
  const layers = [result(patchTable(state), 'infestation polygons of every season')]
  const reaches = buildMapLayers(state).find(entry => entry.id === 'reaches')?.layer
  if (run.network && reaches) {
    const { network } = run
    const answer = newestAnswer(run.downstream)
    const rows = Array.from({ length: network.reachCount }, (_, i) => reachRow(network, answer, i))
    layers.push(
      result({ ...reaches, name: 'reaches', columns: columnsOf(rows) }, 'reach network with load and order of looking'),
    )
  }
  return layers
}

function patchTable({ run }: DeskState): Layer {
  const patches = run!.outlines.flatMap(outline => outline.patches)
  const rows = patches.map(patch => {
    const history = run!.histories.find(h => h.season === patch.season && h.patchId === patch.id) ?? null
    const far = run!.advance.outliers.find(o => o.season === patch.season && o.patchId === patch.id) ?? null
    const { report_ids, linked_from, ...rest } = patchProperties(patch, history, far)
    return { ...rest, report_ids: report_ids.join(' '), linked_from: linked_from.join(' ') }
  })
  return layerOf('patches', geometryFromPolygons(patches.map(patch => patch.outline)), 'EPSG:4326', columnsOf(rows))
}

type Cell = string | number | boolean | null | undefined

/** Columns of rows that share their names; the first value that is there decides the type. */
function columnsOf(rows: readonly Readonly<Record<string, Cell>>[]): Column[] {
  return Object.keys(rows[0] ?? {}).map((name): Column => {
    const values = rows.map(row => row[name] ?? null)
    const sample = values.find(value => value !== null)
    if (typeof sample === 'number')
      return { name, type: 'number', values: Float64Array.from(values, v => (v === null ? Number.NaN : Number(v))) }
    if (typeof sample === 'boolean')
      return { name, type: 'boolean', values: Uint8Array.from(values, v => (v === null ? 2 : v ? 1 : 0)) }
    return { name, type: 'text', values: values.map(value => (value === null ? null : String(value))) }
  })
}
