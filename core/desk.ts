/**
 * The desk: the one facade of core. It opens a brief, runs the season's job and answers what a face asks;
 * it alone puts the questions together. It holds one state that is replaced whole, so a cancelled or failed
 * run leaves everything as it was.
 */
import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex } from '@noble/hashes/utils.js'
import { buildCard } from './desk/cards.ts'
import { describeQuestion } from './desk/describe.ts'
import { drawSheet, findSheet, openSheetFonts, type SheetTools } from './desk/draw-sheet.ts'
import { locateFeatures } from './desk/feature-ids.ts'
import { featuresInBox } from './desk/features-in-box.ts'
import { findPlaces } from './desk/find-places.ts'
import { type Gathered, gatherBrief } from './desk/gather.ts'
import { buildLedger } from './desk/ledgers.ts'
import { buildLegend } from './desk/legends.ts'
import { buildMapLayers } from './desk/map-layers.ts'
import { nextSteps } from './desk/next-steps.ts'
import { newestAnswer, resultFiles, writeJson } from './desk/outputs.ts'
import { buildProjectContent } from './desk/project-content.ts'
import { allPolygons } from './desk/roles.ts'
import { runSeason, type SeasonRun } from './desk/run-season.ts'
import { buildSeasonBands } from './desk/season-bands.ts'
import { applySettings, settingRows } from './desk/setting-rows.ts'
import { buildSpine } from './desk/spine.ts'
import type { DeskState } from './desk/state.ts'
import { buildSummary, newestChoice } from './desk/summary.ts'
import { vetReports } from './desk/vet-reports.ts'
import type { Desk, Files, MapLayer, Overview, QuestionView } from './desk-view.ts'
import { geometryBounds } from './geo/index.ts'
import {
  type Box,
  type Brief,
  createTask,
  describeProblem,
  InputError,
  type Reading,
  type TaskHost,
} from './model/index.ts'
import { openSqlite, parseBrief, writeProject } from './project/index.ts'

export { advanceOfFile } from './desk/steps/advance-step.ts'
export { type ConvertStep, convertFile } from './desk/steps/convert-step.ts'
export { describeFile, inspectProject } from './desk/steps/file-steps.ts'
export { writeDownstream, writeNetwork } from './desk/steps/network-step.ts'
export { briefForStep } from './desk/steps/read-source.ts'
export { outlineFile, vetFile } from './desk/steps/report-steps.ts'
export type * from './desk-view.ts'
export { MAP_LAYERS, QUESTION_WORDS, QUESTIONS } from './desk-view.ts'

export interface DeskOptions {
  readonly files: Files
  readonly assets: { readonly sqlWasm: Uint8Array; readonly fonts: Readonly<Record<string, Uint8Array>> }
  readonly version: string
  readonly locale?: string
  /** Units on sheets; acres and feet unless told. */
  readonly units?: Reading['units']
  readonly host: TaskHost
}

export function createDesk(options: DeskOptions): Desk {
  const { version } = options
  const reading: Reading = { units: options.units ?? 'acres-feet', locale: options.locale ?? 'en-US' }
  let state: DeskState | null = null
  let layers: readonly MapLayer[] = []
  let sheetTools: SheetTools | null = null
  const toolsOfSheets = (): SheetTools => {
    sheetTools ??= { fonts: openSheetFonts(options.assets.fonts), reading }
    return sheetTools
  }

  const opened = (): DeskState => {
    if (state) return state
    throw new InputError({ code: 'nothing-open', reason: 'Nothing is open', remedy: 'Open a brief first.' })
  }
  const answered = (): DeskState & { readonly run: SeasonRun } => {
    const now = opened()
    if (now.run) return { ...now, run: now.run }
    throw new InputError({ code: 'not-run', reason: 'The season has not been run', remedy: 'Run it first.' })
  }
  const replace = (next: DeskState) => {
    layers = buildMapLayers(next)
    state = next
    return overviewOf(next)
  }
  const startTask = () => {
    const warnings: { code: string; message: string }[] = []
    const onWarning: TaskHost['onWarning'] = (code, message, problem) => {
      warnings.push({ code, message })
      options.host.onWarning?.(code, message, problem)
    }
    return { task: createTask({ ...options.host, onWarning }), warnings }
  }

  return {
    async openBrief(path) {
      const { task, warnings } = startTask()
      const text = new TextDecoder('utf-8').decode(await options.files.read(path))
      const brief = parseBrief(text, path)
      const gathered = await gatherBrief(brief, options.files, task.part(0, 0.8))
      await task.step(0.85, 'Checking reports')
      const vetted = await vetReports(brief, gathered.reports, allPolygons(gathered.layers.boundary), {
        rejected: gathered.rejected,
      })
      await task.step(1, 'Open')
      const version_ = (state?.version ?? 0) + 1
      return replace(
        stateOf({ brief, gathered, vetted, run: null, runId: '', version: version_, warnings, isStale: false }),
      )
    },
    async run(settings = {}) {
      const now = opened()
      const brief = applySettings(now.brief, settings)
      const { task, warnings } = startTask()
      const vetted = await vetReports(brief, now.gathered.reports, allPolygons(now.gathered.layers.boundary), {
        rejected: now.gathered.rejected,
      })
      const run = await runSeason({ brief, gathered: now.gathered, vetted }, task)
      const runId = runIdOf(brief, now.gathered, version)
      return replace(stateOf({ ...now, brief, vetted, run, runId, version: now.version + 1, warnings, isStale: false }))
    },
    overview: () => overviewOf(opened()),
    question(question, choice): QuestionView {
      const now = opened()
      const { rows, notes } = buildLegend(question, choice, layers, seasonsOf(now))
      return {
        question,
        choice,
        answer: describeQuestion(now, question, choice),
        legend: rows,
        legendNotes: notes,
        spine: buildSpine(now, choice),
        settings: settingRows(question, now.brief),
        next: nextSteps(now, question, choice),
      }
    },
    mapLayers: () => ({ version: opened().version, layers }),
    feature(id, fid, choice) {
      const now = opened()
      return buildCard(now, { id, layer: layerOf(layers, id) }, fid, choice ?? newestChoice(now))
    },
    ledger: (id, choice) => buildLedger(opened(), { id, layer: findLayer(layers, id)?.layer }, choice),
    locate(id, names, choice) {
      const layer = findLayer(layers, id)
      return layer ? locateFeatures(opened(), layer, names, choice) : { fids: [], box: null }
    },
    featuresIn: (box, ids, choice) =>
      layers
        .filter(layer => ids.includes(layer.id))
        .map(layer => ({ layer: layer.id, fids: featuresInBox(layer, box, choice) }))
        .filter(({ fids }) => fids.length > 0),
    find: (text, choice) => findPlaces(text, layers, choice ?? newestChoice(opened())),
    sheets: () =>
      opened().brief.sheets.map(({ id, kind, page, audience, title }) => ({
        id,
        title: title ?? capital(kind.replace('-', ' ')),
        page: /^a\d$/.test(page) ? page.toUpperCase() : capital(page),
        audience,
      })),
    async drawSheet(id, format, choice) {
      const now = answered()
      return drawSheet(
        now,
        { request: findSheet(now, id), choice: choice ?? newestChoice(now) },
        format,
        toolsOfSheets(),
      )
    },
    async writeProject() {
      return writeProject(await openSqlite(options.assets.sqlWasm), buildProjectContent(opened(), version))
    },
    async outputs() {
      const now = answered()
      const files = resultFiles(now.run)
      files.set(
        'project.gpkg',
        writeProject(await openSqlite(options.assets.sqlWasm), buildProjectContent(now, version)),
      )
      for (const sheet of now.brief.sheets) {
        files.set(
          `sheets/${sheet.id}.pdf`,
          drawSheet(now, { request: sheet, choice: newestChoice(now) }, 'pdf', toolsOfSheets()),
        )
      }
      // A later run into the same folder removes what this list names and it does not make.
      const names = [...files.keys(), 'summary.json', 'warnings.json'].sort()
      files.set('summary.json', writeJson({ ...buildSummary(now, version), files: names }))
      files.set(
        'warnings.json',
        writeJson({ run_id: now.runId, warnings: now.warnings, rejected: now.gathered.rejected }),
      )
      return files
    },
  }
}

function stateOf(parts: Omit<DeskState, 'report' | 'place'>): DeskState {
  const { gathered, vetted, run } = parts
  const reports = new Map(gathered.reports.map(report => [report.id, report]))
  const intake = gathered.warnings.map(problem => ({ code: problem.code, message: describeProblem(problem) }))
  const network = (run?.network?.problems ?? []).map(problem => ({
    code: `network-${problem.kind}`,
    message: problem.note,
  }))
  const seen = new Set(parts.warnings.map(warning => warning.message))
  const fresh = [...intake, ...network].filter(
    ({ message }, i, all) => !seen.has(message) && all.findIndex(other => other.message === message) === i,
  )
  return {
    ...parts,
    vetted,
    warnings: [...fresh, ...parts.warnings],
    report: id => reports.get(id),
    place(id) {
      const report = reports.get(id)
      if (!report) throw new Error(`no report ${id}`)
      return [report.longitude, report.latitude]
    },
  }
}

const seasonsOf = ({ vetted, run }: DeskState) => ({
  all: vetted.seasons.map(season => season.id),
  newestWater: run === null ? null : (newestAnswer(run.downstream)?.season ?? null),
})

const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1)

function overviewOf(state: DeskState): Overview {
  return {
    title: state.brief.title,
    dataDate: state.vetted.dataDate,
    bounds: boundsOf(state),
    seasons: buildSeasonBands(state.vetted),
    spine: buildSpine(state, newestChoice(state)),
    warnings: state.warnings,
    hasRun: state.run !== null,
  }
}

/** What the map opens on: the patches' ground once there is an answer, else the programme, else the reports. */
function boundsOf({ gathered, vetted }: DeskState): Box {
  const boundary = gathered.layers.boundary ? geometryBounds(gathered.layers.boundary.geometry) : undefined
  if (boundary) return boundary
  const coords = Float64Array.from(
    vetted.sightings.flatMap(({ finds, visits }) =>
      [...finds, ...visits].flatMap(s => [...vetted.tools.frame.toGlobe(s.x, s.y)]),
    ),
  )
  return (
    geometryBounds({ coords, rings: EMPTY, parts: EMPTY, features: EMPTY, kinds: new Uint8Array(0) }) ?? [
      -180, -85, 180, 85,
    ]
  )
}

const EMPTY = new Uint32Array(1)

const findLayer = (layers: readonly MapLayer[], id: MapLayer['id']) => layers.find(entry => entry.id === id)

function layerOf(layers: readonly MapLayer[], id: MapLayer['id']): MapLayer['layer'] {
  const found = findLayer(layers, id)
  if (found) return found.layer
  throw new Error(`no map layer ${id}`)
}

/** Same inputs, same brief, same version: same id. */
function runIdOf(brief: Brief, gathered: Gathered, version: string): string {
  const parts = [version, JSON.stringify(brief), ...gathered.inputs.map(input => `${input.name} ${input.sha256}`)]
  return bytesToHex(sha256(new TextEncoder().encode(parts.join('\n')))).slice(0, 12)
}
