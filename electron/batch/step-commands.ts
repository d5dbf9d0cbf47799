import { dirname } from 'node:path'
import {
  advanceOfFile,
  briefForStep,
  convertFile,
  describeFile,
  inspectProject,
  outlineFile,
  vetFile,
  writeDownstream,
  writeNetwork,
} from '../../core/desk.ts'
import { AUDIENCES, describeProblem, InputError, type OutlineSettings } from '../../core/model/index.ts'
import { readAssets } from '../files/assets.ts'
import { readFromFolder } from '../files/folder-files.ts'
import { type Arguments, checkedOut, outlineMethod } from './arguments.ts'
import type { BatchSession, Outcome } from './session.ts'
import { UsageError } from './usage.ts'

/** `read FILE`: what a file holds. */
export async function readCommand(args: Arguments, session: BatchSession): Promise<Outcome> {
  args.allow(['layer'], 1)
  const { description, ...doubts } = await describeFile(
    args.word(0, 'a file'),
    args.text('layer'),
    session.files,
    session.task,
  )
  const lines = description.layers.map(
    layer => `${layer.name}: ${layer.features} features, ${layer.kind}, ${systemOf(layer)}`,
  )
  return {
    json: description,
    text: [`${description.format}`, ...lines].join('\n'),
    ...doubts,
  }
}

/** A layer's coordinate system in words; a table has none, a layer without one cannot be measured. */
function systemOf({ kind, crs, crs_source }: { kind: string; crs: string | null; crs_source: string }): string {
  if (crs !== null) return `${crs} (${crs_source})`
  return kind === 'none' ? 'no coordinates' : 'coordinate system unknown, so that bounds, lengths and areas are unknown'
}

/** `vet REPORTS`: one row a finding. */
export async function vetCommand(args: Arguments, session: BatchSession): Promise<Outcome> {
  args.allow(['brief'], 1)
  const brief = await briefForStep(args.text('brief'), session.files)
  const { findings, rejected, reports, vetted } = await vetFile(
    args.word(0, 'a report file'),
    brief,
    session.files,
    session.task,
  )
  const rows = findings.map(f => [f.severity, f.rule, f.file, f.row, f.reportId, f.reason].join('\t'))
  return {
    json: { reports, data_date: vetted.dataDate, findings, admissions: vetted.admissions, rejected },
    text: [`severity\trule\tfile\trow\treport\treason`, ...rows].join('\n'),
    rejected,
  }
}

/** `outline REPORTS`: patches. */
export async function outlineCommand(args: Arguments, session: BatchSession): Promise<Outcome> {
  args.allow(['brief', 'out', 'radius', 'join', 'min-reports', 'method'], 1)
  const out = args.out()
  const base = await briefForStep(args.text('brief'), session.files)
  const minReports = args.number('min-reports', { atLeast: 1 })
  const brief = {
    ...base,
    outline: {
      ...base.outline,
      radius: args.number('radius', { above: 0 }) ?? base.outline.radius,
      join: args.number('join', { atLeast: 0 }) ?? base.outline.join,
      method: outlineMethod(args.text('method')) ?? base.outline.method,
      ...(minReports === undefined ? {} : { minReports, minReportsUnconfirmed: minReports }),
    },
  }
  const { file, rejected, patches, singles, heldBack } = await outlineFile(
    args.word(0, 'a report file'),
    brief,
    session.files,
    session.task,
  )
  await session.write(new Map([[out, file]]))
  return {
    json: { out, patches: patches.length, single_finds: singles.length, held_back: heldBack, rejected },
    text: [
      `${counted(patches.length, 'patch', 'patches')} written to ${out}.`,
      ...(singles.length === 0 ? [] : [singlesLine(singles.length, brief.outline)]),
      ...(heldBack === 0 ? [] : [`${counted(heldBack, 'report is', 'reports are')} held back; \`vet\` lists why.`]),
    ].join('\n'),
    rejected,
  }
}

const counted = (count: number, one: string, many: string): string => `${count} ${count === 1 ? one : many}`

function singlesLine(count: number, { minReports, minReportsUnconfirmed }: OutlineSettings): string {
  const wanted =
    minReports === minReportsUnconfirmed
      ? `a patch wants ${minReports} reports`
      : `a patch wants ${counted(minReports, 'confirmed report', 'reports with one confirmed')} or ${minReportsUnconfirmed} unconfirmed ones`
  return `${counted(count, 'single find makes', 'single finds make')} no patch: ${wanted}; --min-reports 1 takes each.`
}

/** `advance PATCHES`: front measures. */
export async function advanceCommand(args: Arguments, session: BatchSession): Promise<Outcome> {
  args.allow(['reports', 'brief', 'out', 'origin', 'step'], 1)
  const out = args.out()
  const base = await briefForStep(args.text('brief'), session.files)
  const origin = args.text('origin')
  const brief = {
    ...base,
    advance: {
      ...base.advance,
      origin: origin === undefined ? base.advance.origin : args.place(origin, 'origin'),
      step: args.number('step', { above: 0 }) ?? base.advance.step,
    },
  }
  const reports = args.text('reports')
  const step = { patches: args.word(0, 'a patch file'), ...(reports === undefined ? {} : { reports }) }
  const { json, rejected } = await advanceOfFile(step, brief, session.files, session.task)
  await session.write(new Map([[out, new TextEncoder().encode(`${JSON.stringify(json, null, 2)}\n`)]]))
  return { json, text: `Front measures of ${json.seasons.length} seasons written to ${out}.`, rejected }
}

function networkStep(args: Arguments) {
  const [direction, id] = [args.text('direction-field'), args.text('id-field')]
  return {
    lines: args.word(0, 'a line file'),
    snap: args.number('snap', { atLeast: 0 }) ?? 2,
    isNodingCrossings: args.flag('node-crossings'),
    isNodingTouches: args.flag('node-touches'),
    repairs: args.texts('accept').map(id => ({ id, isAccepted: true })),
    ...(direction === undefined ? {} : { directionField: direction }),
    ...(id === undefined ? {} : { idField: id }),
    outlets: args.texts('outlet').map(text => args.place(text, 'outlet')),
  }
}

const NETWORK_OPTIONS = [
  'out',
  'snap',
  'node-crossings',
  'node-touches',
  'direction-field',
  'id-field',
  'outlet',
  'accept',
] as const

/** `network LINES`: noded, directed reaches. */
export async function networkCommand(args: Arguments, session: BatchSession): Promise<Outcome> {
  args.allow(NETWORK_OPTIONS, 1)
  const out = args.out()
  const { file, network } = await writeNetwork(networkStep(args), session.files, session.task)
  await session.write(new Map([[out, file]]))
  const { reachCount, nodeCount, problems, repairs } = network
  const open = repairs.filter(({ decision }) => decision === 'open').length
  return {
    json: { out, reaches: reachCount, nodes: nodeCount, problems: problems.map(idRow), repairs: repairs.map(idRow) },
    text: `${reachCount} reaches and ${nodeCount} nodes written to ${out}; ${problems.length} problems to look at, ${open} repairs proposed.`,
  }
}

/** Problems and repairs as JSON lists them: reaches under the ids that the file gives them. */
const idRow = <T extends { readonly reaches: readonly number[] }>({ reaches, ...rest }: T) => ({
  ...rest,
  reach_ids: reaches.map(reach => reach + 1),
})

/** `downstream LINES --sources PATCHES`: load and risk. */
export async function downstreamCommand(args: Arguments, session: BatchSession): Promise<Outcome> {
  args.allow(
    [
      ...NETWORK_OPTIONS,
      'sources',
      'retention',
      'flood-retention',
      'bank',
      'bank-scale',
      'propagules',
      'barriers',
      'protect',
      'trace',
    ],
    1,
  )
  const out = args.out()
  const [barriers, protect, trace] = [args.text('barriers'), args.text('protect'), args.text('trace')]
  const given = {
    retentionOrdinary: args.number('retention', { above: 0 }),
    retentionFlood: args.number('flood-retention', { above: 0 }),
    bank: args.number('bank', { above: 0 }),
    bankScale: args.number('bank-scale', { above: 0 }),
    propagules: args.number('propagules', { above: 0 }),
  }
  const settings = Object.fromEntries(Object.entries(given).filter(([, value]) => value !== undefined))
  const step = {
    ...networkStep(args),
    sources: args.required('sources'),
    settings,
    ...(barriers === undefined ? {} : { barriers }),
    ...(protect === undefined ? {} : { protect }),
    ...(trace === undefined ? {} : { trace: args.place(trace, 'trace') }),
  }
  const { file, summary, averted, trace: traced } = await writeDownstream(step, session.files, session.task)
  await session.write(new Map([[out, file]]))
  const { load_total, deposit_total } = summary.ordinary
  return {
    json: { ...summary.ordinary, ...summary, out, averted, ...(traced === null ? {} : { trace: traced }) },
    text: [
      `Load written to ${out}: ${load_total.toPrecision(4)} propagules a season enter the water, ${deposit_total.toPrecision(4)} settle.`,
      ...(traced === null ? [] : traceLines(traced)),
    ].join('\n'),
  }
}

type Trace = NonNullable<Awaited<ReturnType<typeof writeDownstream>>['trace']>

function traceLines({ reach_id, line_id, ordinary, flood }: Trace): string[] {
  const lines = (rows: Trace['ordinary']) =>
    rows.length === 0
      ? ['  no patch']
      : rows.map(({ patch_id, share, distance_m }) => {
          const way = distance_m === null ? 'on the reach itself' : `${distance_m.toFixed(0)} m up the water`
          return `  ${patch_id}: ${(100 * share).toFixed(1)} %, ${way}`
        })
  const title = `What settles on reach ${reach_id} (line ${line_id}) could have come, in ordinary flow, from:`
  return [title, ...lines(ordinary), 'In flood, from:', ...lines(flood)]
}

/** `convert IN OUT`: another format, another system, cut to an audience. */
export async function convertCommand(args: Arguments, session: BatchSession): Promise<Outcome> {
  args.allow(['audience', 'to-crs', 'brief', 'owner'], 2)
  const [from, to] = [args.word(0, 'a file'), checkedOut(args.word(1, 'a name for the result'))]
  const audience = AUDIENCES.find(name => name === (args.text('audience') ?? 'crew'))
  if (audience === undefined) throw new UsageError(`--audience takes ${AUDIENCES.join(', ')}.`)
  const [toCrs, owner, brief] = [args.text('to-crs'), args.text('owner'), args.text('brief')]
  const step = {
    from,
    to,
    audience,
    ...(toCrs === undefined ? {} : { toCrs }),
    ...(owner === undefined ? {} : { owner }),
    ...(brief === undefined
      ? {}
      : { brief: { path: brief, files: { read: (path: string) => readFromFolder(dirname(brief), path) } } }),
  }
  const { file, features, crs, rejected, withheld } = await convertFile(step, session.files, session.task)
  await session.write(new Map([[to, file]]))
  for (const { what, count } of withheld) process.stderr.write(`withheld: ${count} ${what}\n`)
  return {
    json: { out: to, audience, crs, features, withheld, rejected },
    text: `${features} features written to ${to} (${crs}, for ${audience}).`,
    rejected,
  }
}

/** `check PROJECT`: integrity of a project file. */
export async function checkCommand(args: Arguments, session: BatchSession): Promise<Outcome> {
  args.allow([], 1)
  const path = args.word(0, 'a project file')
  const problems = await inspectProject(path, session.files, (await readAssets()).sqlWasm)
  const first = problems[0]
  if (first) {
    process.stderr.write(`${problems.map(describeProblem).join('\n')}\n`)
    throw new InputError({ ...first, file: path })
  }
  return { json: { file: path, problems }, text: `${path} is whole.` }
}
