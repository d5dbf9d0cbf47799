import { mkdirSync, writeFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import type { Reporter, TestModule } from 'vitest/node'
import type { ReferenceRow, ReportPicture } from './check.ts'

const ROOT = join(import.meta.dirname, '../..')
const FOLDER = 'test-report'
const HEADS = ['what', 'source', 'expected', 'got', 'within', 'n'] as const

/** What one test file brought. */
export interface Section {
  readonly file: string
  readonly rows: readonly ReferenceRow[]
  readonly pictures: readonly ReportPicture[]
}

/** Prints the reference checks of this run as one table after the tests, and writes it to test-report/reference.md. */
export class ReferenceReport implements Reporter {
  onTestRunEnd(modules: readonly TestModule[]): void {
    const sections = modules.map(sectionOf).sort((a, b) => (a.file < b.file ? -1 : 1))
    const rows = sections.flatMap(section => section.rows)
    const pictures = sections.flatMap(section => section.pictures)
    if (rows.length + pictures.length === 0) return
    mkdirSync(join(ROOT, FOLDER), { recursive: true })
    writeFileSync(join(ROOT, FOLDER, 'reference.md'), asMarkdown(sections, summaryOf(rows), pictures))
    const drawn = pictures.map(({ what, file }) => `  ${file}  ${what}`)
    process.stdout.write(
      [
        '',
        ...asTable(sections, process.stdout.columns ?? 160),
        '',
        `${summaryOf(rows)} ${EXPLAINED} Also in ${FOLDER}/reference.md.`,
        ...(drawn.length === 0 ? [] : ['', 'Pictures of this run:', ...drawn]),
        '',
      ].join('\n'),
    )
  }
}

function sectionOf(module: TestModule): Section {
  const metas = [...module.children.allTests()].map(test => test.meta())
  return {
    file: relative(ROOT, module.moduleId),
    rows: mergeAlike(metas.flatMap(meta => meta.referenceRows ?? [])),
    pictures: metas.flatMap(meta => meta.reportPictures ?? []),
  }
}

/** Rows of one claim, as from the cases of one test, become the worst of them. */
export function mergeAlike(rows: readonly ReferenceRow[]): ReferenceRow[] {
  const merged = new Map<string, ReferenceRow>()
  for (const row of rows) {
    const key = [row.what, row.source, row.within].join('\n')
    const other = merged.get(key)
    const worst = other === undefined || row.apart > other.apart || (!row.isMet && other.isMet) ? row : other
    merged.set(key, { ...worst, compared: row.compared + (other?.compared ?? 0) })
  }
  return [...merged.values()]
}

function summaryOf(rows: readonly ReferenceRow[]): string {
  const missed = rows.filter(row => !row.isMet).length
  const compared = rows.reduce((sum, row) => sum + row.compared, 0)
  return `${rows.length} reference checks ran on ${compared} values, ${missed === 0 ? 'all met' : `${missed} NOT MET`}.`
}

const cellsOf = (row: ReferenceRow) => [row.what, row.source, row.expected, row.got, row.within, String(row.compared)]

const EXPLAINED = 'Of n values each line shows the pair that lies farthest apart.'

/** One line a check; what and source give way where the window is narrow. */
export function asTable(sections: readonly Section[], window: number): string[] {
  const rows = sections.flatMap(section => section.rows)
  const widths = HEADS.map((head, k) => Math.max(head.length, ...rows.map(row => cellsOf(row)[k]!.length)))
  const over = widths.reduce((sum, width) => sum + width + 2, 2) - Math.max(window, 100)
  if (over > 0) {
    const fromSource = Math.min(widths[1]! - 20, Math.ceil(over / 2))
    widths[1] = widths[1]! - fromSource
    widths[0] = Math.max(24, widths[0]! - (over - fromSource))
  }
  const line = (mark: string, cells: readonly string[]) =>
    `${mark} ${cells.map((cell, k) => padTo(cell, widths[k]!)).join('  ')}`.trimEnd()
  return [
    line(' ', HEADS),
    ...sections
      .filter(section => section.rows.length > 0)
      .flatMap(({ file, rows }) => ['', `  ${file}`, ...rows.map(row => line(row.isMet ? ' ' : '✗', cellsOf(row)))]),
  ]
}

function padTo(cell: string, width: number): string {
  return cell.length > width ? `${cell.slice(0, width - 1)}…` : cell.padEnd(width)
}

function asMarkdown(sections: readonly Section[], summary: string, pictures: readonly ReportPicture[]): string {
  const line = (cells: readonly string[]) => `| ${cells.map(cell => cell.replaceAll('|', '\\|')).join(' | ')} |`
  const tables = sections
    .filter(section => section.rows.length > 0)
    .flatMap(({ file, rows }) => [
      `## ${file}`,
      '',
      line([...HEADS, 'met']),
      line([...HEADS, ''].map(() => '---')),
      ...rows.map(row => line([...cellsOf(row), row.isMet ? 'yes' : '**no**'])),
      '',
    ])
  const drawn = pictures.flatMap(({ what, file }) => [`![${what}](${relative(FOLDER, file)})`, '', what, ''])
  return [
    '# Reference checks',
    '',
    summary,
    EXPLAINED,
    '',
    ...tables,
    ...(drawn.length === 0 ? [] : ['## Pictures', '', ...drawn]),
  ]
    .join('\n')
    .replace(/\n+$/, '\n')
}
