import { readFile, rm } from 'node:fs/promises'
import { basename, dirname, extname, join } from 'node:path'
import { createDesk, type Desk } from '../../core/desk.ts'
import { formatPhrase, type Problem, type Reading, type TaskHost } from '../../core/model/index.ts'
import { readAssets } from '../files/assets.ts'
import { readFromFolder } from '../files/folder-files.ts'
import type { Arguments } from './arguments.ts'
import type { BatchSession, Outcome } from './session.ts'
import { UsageError } from './usage.ts'
import { readVersion } from './version.ts'

const READING: Reading = { units: 'acres-feet', locale: 'en-US' }

/** Share of the whole job that opening takes, by the clock, on the sample. */
const OPENING = 0.25

/** One counter for the two jobs of the desk, opening and running. */
function jobProgress({ host }: BatchSession): { readonly host: TaskHost; next(): void } {
  let [from, to] = [0, OPENING]
  return {
    host: { ...host, onStep: (fraction, note) => host.onStep?.(from + fraction * (to - from), note) },
    next() {
      from = to
      to = 1
    },
  }
}

async function runBrief(path: string, session: BatchSession): Promise<Desk> {
  const progress = jobProgress(session)
  const folder = dirname(path)
  const desk = createDesk({
    files: { read: name => readFromFolder(folder, name) },
    assets: await readAssets(),
    version: await readVersion(),
    host: progress.host,
  })
  await desk.openBrief(basename(path))
  progress.next()
  await desk.run()
  return desk
}

/** `season BRIEF --out DIR`: the whole job. */
export async function seasonCommand(args: Arguments, session: BatchSession): Promise<Outcome> {
  args.allow(['out'], 1)
  const brief = args.word(0, 'a brief')
  const out = args.required('out')
  const desk = await runBrief(brief, session)
  const outputs = await desk.outputs()
  const stale = await findStaleFiles(out, new Set(outputs.keys()))
  await session.write(new Map([...outputs].map(([name, bytes]) => [join(out, name), bytes])))
  await Promise.all(stale.map(name => rm(join(out, name), { force: true })))
  const { spine, warnings } = desk.overview()
  const doubts = JSON.parse(new TextDecoder().decode(outputs.get('warnings.json'))) as { rejected: Problem[] }
  const summary: unknown = JSON.parse(new TextDecoder().decode(outputs.get('summary.json')))
  const lines = spine.map(
    entry => `${entry.words.padEnd(28)} ${formatPhrase(entry.answer, READING)}${entry.note ? `  (${entry.note})` : ''}`,
  )
  return {
    json: { out, files: [...outputs.keys()], removed: stale, warnings, summary },
    text: [
      ...lines,
      '',
      `${outputs.size} files written to ${out}; ${warnings.length} warnings in warnings.json.`,
      ...(stale.length === 0 ? [] : [`Removed, as this run does not make them: ${stale.join(', ')}.`]),
    ].join('\n'),
    rejected: doubts.rejected,
  }
}

/** What a run may write; nothing else in the folder is ever touched. */
const OWN_FILE =
  /^(?:patches\.geojson|advance\.json|reaches\.geojson|parcels-at-risk\.csv|project\.gpkg|summary\.json|warnings\.json|sheets\/[\w-]+\.pdf)$/

/** Files that the run before wrote into the folder, by its own list, and that this one does not. */
async function findStaleFiles(folder: string, fresh: ReadonlySet<string>): Promise<string[]> {
  const text = await readFile(join(folder, 'summary.json'), 'utf8').catch(() => null)
  return text === null ? [] : listedFiles(text).filter(name => OWN_FILE.test(name) && !fresh.has(name))
}

function listedFiles(text: string): string[] {
  try {
    const summary = JSON.parse(text) as { readonly files?: unknown } | null
    const files = summary?.files
    return Array.isArray(files) ? files.filter(name => typeof name === 'string') : []
  } catch {
    return []
  }
}

/** `sheet BRIEF ID --out F.pdf|F.svg`: one map sheet. */
export async function sheetCommand(args: Arguments, session: BatchSession): Promise<Outcome> {
  args.allow(['out'], 2)
  const [brief, id, out] = [args.word(0, 'a brief'), args.word(1, 'the id of a sheet'), args.out()]
  const format = extname(out).slice(1).toLowerCase()
  if (format === 'png') return writePng(await runBrief(brief, session), id, out, session)
  if (format !== 'pdf' && format !== 'svg') throw new UsageError(`--out must end in .pdf, .svg or .png, not "${out}".`)
  const desk = await runBrief(brief, session)
  await session.write(new Map([[out, await desk.drawSheet(id, format)]]))
  return { json: { out, sheet: id }, text: `Sheet ${id} written to ${out}.` }
}

async function writePng(desk: Desk, id: string, out: string, session: BatchSession): Promise<Outcome> {
  const { rasterise } = await import('./rasterise.ts')
  await session.write(new Map([[out, await rasterise(await desk.drawSheet(id, 'svg'))]]))
  return { json: { out, sheet: id }, text: `Sheet ${id} written to ${out}.` }
}
