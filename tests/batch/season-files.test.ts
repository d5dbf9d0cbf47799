import { spawn, spawnSync } from 'node:child_process'
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { buildTargets } from '../../electron/build/build.mjs'

const folder = mkdtempSync(join(tmpdir(), 'season-files-'))
const program = join(import.meta.dirname, '../../dist/batch/vinereach.mjs')
const vinereach = (...args: string[]) =>
  spawnSync(process.execPath, [program, ...args], { encoding: 'utf8', cwd: folder })
const write = (name: string, text: string) => writeFileSync(join(folder, name), text)
const listed = (name: string) =>
  readdirSync(join(folder, name), { recursive: true, encoding: 'utf8' })
    .filter(file => /\.[\w-]+$/.test(file))
    .sort()

const REPORTS = `id,date,lon,lat,found,size_m2
a,2023-06-01,-45.80000,35.70000,yes,40
b,2024-06-01,-45.80000,35.70000,yes,60
c,2024-06-02,-45.80500,35.70300,yes,
d,2024-06-02,-45.80520,35.70310,yes,-5
e,2024-06-03,-45.80700,35.70300,maybe,
`
const WATER = JSON.stringify({
  type: 'FeatureCollection',
  features: [
    {
      type: 'Feature',
      properties: { direction: 'with' },
      geometry: {
        type: 'LineString',
        coordinates: [
          [-45.8001, 35.7],
          [-45.81, 35.71],
        ],
      },
    },
  ],
})
const brief = (rest: object, layers: object = {}) =>
  JSON.stringify({
    title: 'Two seasons',
    layers: { reports: [{ path: 'r.csv' }], ...layers },
    outline: { min_reports: 1, draws: 0 },
    ...rest,
  })
const sheet = (id: string) => ({ id, kind: 'season-review' })

beforeAll(async () => {
  await buildTargets(['batch'])
  write('r.csv', REPORTS)
  write('w.geojson', WATER)
  write('first.json', brief({ sheets: [sheet('one'), sheet('two')] }, { waterways: { path: 'w.geojson' } }))
  write('second.json', brief({ sheets: [sheet('two')] }))
  write('empty.json', brief({ outline: { min_reports: 9, draws: 0 } }))
}, 120_000)
afterAll(() => rmSync(folder, { recursive: true, force: true }))

describe('a folder that several runs write into', () => {
  const own = ['advance.json', 'parcels-at-risk.csv', 'patches.geojson', 'project.gpkg']

  it('holds the files of the newest run and what is not the program’s, nothing else', () => {
    expect(vinereach('season', 'first.json', '--out', 'out').status).toBe(3)
    const before = listed('out')
    expect(before).toEqual([
      ...own,
      'reaches.geojson',
      'sheets/one.pdf',
      'sheets/two.pdf',
      'summary.json',
      'warnings.json',
    ])
    const summary = JSON.parse(readFileSync(join(folder, 'out/summary.json'), 'utf8'))
    expect(summary.files).toEqual(before)
    // A list that was tampered with removes nothing beyond what a run could have written.
    writeFileSync(
      join(folder, 'out/summary.json'),
      JSON.stringify({ ...summary, files: [...summary.files, '../r.csv', 'notes.txt', 'sheets/../../w.geojson'] }),
    )
    for (const name of ['notes.txt', 'sheets/mine.pdf']) writeFileSync(join(folder, 'out', name), 'mine')
    const second = vinereach('season', 'second.json', '--out', 'out')
    expect(second.stdout).toContain('reaches.geojson, sheets/one.pdf')
    expect(listed('out')).toEqual(
      [...own, 'sheets/mine.pdf', 'sheets/two.pdf', 'summary.json', 'warnings.json', 'notes.txt'].sort(),
    )
    expect(existsSync(join(folder, 'r.csv')) && existsSync(join(folder, 'w.geojson'))).toBe(true)
  }, 60_000)

  it('keeps the old set whole when a run fails while it writes, and when it is cancelled', async () => {
    expect(vinereach('season', 'first.json', '--out', 'kept').status).toBe(3)
    const before = new Map(listed('kept').map(name => [name, readFileSync(join(folder, 'kept', name))]))
    const isWhole = () =>
      listed('kept').length === before.size &&
      [...before].every(([name, bytes]) => readFileSync(join(folder, 'kept', name)).equals(bytes))
    // A file stands where a folder is wanted: the sheet cannot be written, though other files could.
    mkdirSync(join(folder, 'blocked'))
    writeFileSync(join(folder, 'blocked/sheets'), 'mine')
    expect(vinereach('season', 'first.json', '--out', 'blocked').status).toBe(1)
    expect(readdirSync(join(folder, 'blocked'))).toEqual(['sheets'])
    const child = spawn(process.execPath, [program, 'season', 'second.json', '--out', 'kept'], { cwd: folder })
    child.stderr.once('data', () => child.kill('SIGINT'))
    const status = await new Promise(done => child.on('close', done))
    expect(status).toBe(130)
    expect(isWhole()).toBe(true)
  }, 60_000)
})

describe('what a run tells', () => {
  it('counts patches by status so that they add up, and shows one counter that never goes back', () => {
    const run = vinereach('season', 'first.json', '--out', 'told')
    const { outline } = JSON.parse(readFileSync(join(folder, 'told/summary.json'), 'utf8'))
    const statuses = Object.entries(outline).filter(([id]) => id.startsWith('status_')) as [string, { value: number }][]
    expect(statuses).toHaveLength(8)
    expect(statuses.reduce((sum, [, { value }]) => sum + value, 0)).toBe(outline.patches.value)
    expect(outline.patches.value).toBe(2)
    const shown = [...run.stderr.matchAll(/^ *(\d+) %/gm)].map(match => Number(match[1]))
    expect(shown.length).toBeGreaterThan(5)
    expect(shown).toEqual([...shown].sort((a, b) => a - b))
  }, 60_000)

  it('says that nothing was found in either season', () => {
    expect(vinereach('season', 'empty.json', '--out', 'empty').stdout).toContain('no patch in either season')
  }, 60_000)

  it('single steps carry file, row and field of a warning, single finds, and what a folder lacks', () => {
    const step = JSON.parse(vinereach('outline', 'r.csv', '--out', 'p.geojson', '--json').stdout)
    expect(step.warnings).toMatchObject([
      { code: 'value-absent', file: 'r.csv', row: 5, field: 'size_m2', value: '-5' },
    ])
    expect(step.single_finds).toBe(2)
    expect(vinereach('vet', 'r.csv').stderr).toContain('warning: r.csv, row 5, field size_m2')
    const lost = vinereach('outline', 'r.csv', '--out', 'no/p.geojson')
    expect([lost.status, lost.stderr]).toEqual([2, expect.stringContaining(join(folder, 'no'))])
    const negative = vinereach('outline', 'r.csv', '--out', 'p.geojson', '--radius', '-3')
    expect([negative.status, negative.stderr]).toEqual([2, expect.stringContaining('--radius takes a number above 0')])
  }, 60_000)

  it('lists every refused row where none is left', () => {
    write('bad.csv', 'id,date,lon,lat,found\n1,2024-06-01,-45.8,95.7,yes\n2,2024-06-01,-45.8,35.7,maybe\n')
    const { status, stderr } = vinereach('outline', 'bad.csv', '--out', 'p.geojson')
    expect(status).toBe(1)
    expect(stderr).toMatch(
      /bad\.csv, row 2, field lat[\s\S]*bad\.csv, row 3, field found[\s\S]*all 2 rows were refused/,
    )
  })
})
