import { execFileSync, spawnSync } from 'node:child_process'
import { mkdirSync, readFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import { showPicture } from '../reference/check.ts'

const ROOT = join(import.meta.dirname, '../..')
const PICTURES = join(ROOT, 'test-report/pictures')

export const readJson = (file: string) => JSON.parse(readFileSync(file, 'utf8'))

/** Runs the built batch command with --json. */
export function vinereach(...args: readonly string[]) {
  const run = spawnSync(process.execPath, [join(ROOT, 'dist/batch/vinereach.mjs'), ...args, '--json'], {
    encoding: 'utf8',
    maxBuffer: 1 << 28,
  })
  return { status: run.status, answer: run.stdout === '' ? undefined : JSON.parse(run.stdout), said: run.stderr }
}

/** Draws a sheet of a brief into the test report: its first page by pdftoppm, or as SVG where that is not installed. */
export function drawSheet(
  brief: string,
  sheet: string,
  picture: { name: string; what: string },
): { status: number | null; said: string } {
  mkdirSync(PICTURES, { recursive: true })
  const stem = join(PICTURES, picture.name)
  const hasPoppler = spawnSync('pdftoppm', ['-v']).error === undefined
  const { status, said } = vinereach('sheet', brief, sheet, '--out', `${stem}.${hasPoppler ? 'pdf' : 'svg'}`)
  if (status !== 0) return { status, said }
  if (hasPoppler) execFileSync('pdftoppm', ['-r', '100', '-png', '-f', '1', '-singlefile', `${stem}.pdf`, stem])
  showPicture({ what: picture.what, file: relative(ROOT, `${stem}.${hasPoppler ? 'png' : 'svg'}`) })
  return { status, said }
}
