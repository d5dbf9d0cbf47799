import { basename, dirname, extname, join } from 'node:path'
import { createDesk, type Desk } from '../../core/desk.ts'
import { formatPhrase, type Problem, type Reading } from '../../core/model/index.ts'
import { readAssets } from '../files/assets.ts'
import { readFromFolder } from '../files/folder-files.ts'
import type { Arguments } from './arguments.ts'
import type { BatchSession, Outcome } from './session.ts'
import { UsageError } from './usage.ts'
import { readVersion } from './version.ts'

const READING: Reading = { units: 'acres-feet', locale: 'en-US' }

async function runBrief(path: string, session: BatchSession): Promise<Desk> {
  const folder = dirname(path)
  const desk = createDesk({
    files: { read: name => readFromFolder(folder, name) },
    assets: await readAssets(),
    version: await readVersion(),
    host: session.host,
  })
  await desk.openBrief(basename(path))
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
  await session.write(new Map([...outputs].map(([name, bytes]) => [join(out, name), bytes])))
  const { spine, warnings } = desk.overview()
  const doubts = JSON.parse(new TextDecoder().decode(outputs.get('warnings.json'))) as { rejected: Problem[] }
  const summary: unknown = JSON.parse(new TextDecoder().decode(outputs.get('summary.json')))
  const lines = spine.map(
    entry => `${entry.words.padEnd(28)} ${formatPhrase(entry.answer, READING)}${entry.note ? `  (${entry.note})` : ''}`,
  )
  return {
    json: { out, files: [...outputs.keys()], summary },
    text: [...lines, '', `${outputs.size} files written to ${out}; ${warnings.length} warnings in warnings.json.`].join(
      '\n',
    ),
    rejected: doubts.rejected,
  }
}

/** `sheet BRIEF ID --out F.pdf|F.svg`: one map sheet. */
export async function sheetCommand(args: Arguments, session: BatchSession): Promise<Outcome> {
  args.allow(['out'], 2)
  const [brief, id, out] = [args.word(0, 'a brief'), args.word(1, 'the id of a sheet'), args.required('out')]
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
