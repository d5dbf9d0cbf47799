import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { buildTargets } from '../../electron/build/build.mjs'

const ROOT = join(import.meta.dirname, '../..')
const folder = mkdtempSync(join(tmpdir(), 'season-'))
const brief = join(ROOT, 'sample-layers/brief.json')

const vinereach = (...args: string[]) =>
  spawnSync(process.execPath, [join(ROOT, 'dist/batch/vinereach.mjs'), ...args], {
    encoding: 'utf8',
    maxBuffer: 1 << 28,
  })
const has = (program: string) => spawnSync('which', [program]).status === 0
const readJson = (file: string) => JSON.parse(readFileSync(file, 'utf8'))

beforeAll(async () => {
  await buildTargets(['batch'])
  const [one, two] = [
    vinereach('season', brief, '--out', join(folder, 'one')),
    vinereach('season', brief, '--out', join(folder, 'two')),
  ]
  // 3: the sample holds rows that cannot be read, and the run says so.
  expect([one.status, two.status], one.stderr).toEqual([3, 3])
}, 300_000)
afterAll(() => rmSync(folder, { recursive: true, force: true }))

test('writes every file, and the same bytes twice', () => {
  const names = readdirSync(join(folder, 'one'), { recursive: true, encoding: 'utf8' })
    .filter(name => /\.\w+$/.test(name))
    .sort()
  expect(names).toEqual([
    'advance.json',
    'parcels-at-risk.csv',
    'patches.geojson',
    'project.gpkg',
    'reaches.geojson',
    'sheets/season-review-crew.pdf',
    'sheets/season-review.pdf',
    'summary.json',
    'warnings.json',
  ])
  for (const name of names) {
    expect(readFileSync(join(folder, 'one', name)).equals(readFileSync(join(folder, 'two', name))), name).toBe(true)
  }
})

test('the water balances to 1e-9 on the sample', () => {
  const { downstream } = readJson(join(folder, 'one/summary.json'))
  for (const flow of [downstream.ordinary, downstream.flood]) {
    expect(flow.load_total).toBeGreaterThan(0)
    expect(flow.balance_error).toBeLessThan(1e-9)
  }
})

test('the patches have every property of the contract, and every status occurs', () => {
  const { features } = readJson(join(folder, 'one/patches.geojson'))
  const names = [
    'patch_id',
    'season',
    'reports',
    'report_ids',
    'parts',
    'gross_area_m2',
    'infested_area_m2',
    'net_canopy_m2',
    'cover_known_share',
    'measured_share',
    'default_share',
    'infill_share',
    'gross_low_m2',
    'gross_high_m2',
    'infested_low_m2',
    'infested_high_m2',
    'first_seen',
    'last_seen',
    'status',
    'outlier',
    'treated',
    'linked_from',
  ]
  for (const { properties } of features) expect(Object.keys(properties)).toEqual(expect.arrayContaining(names))
  const seen = new Set(features.map((feature: { properties: { status: string } }) => feature.properties.status))
  expect([...seen].sort()).toEqual(['first', 'grown', 'merged', 'new', 'newly_found', 'shrunk', 'split', 'steady'])
})

test('the planted jump by water is found, and the edge move covers the planted one', () => {
  const advance = readJson(join(folder, 'one/advance.json'))
  expect(
    advance.outliers.some((o: { route: string; distance_m: number }) => o.route === 'water' && o.distance_m > 500),
  ).toBe(true)
  const last = advance.displacement.at(-1)
  expect(last.families).toBeGreaterThanOrEqual(10)
  // Truth of the seeded county: its README and truth.json.
  expect(last.edge_move_low_m).toBeLessThan(10.7)
  expect(last.edge_move_high_m).toBeGreaterThan(10.7)
})

test.skipIf(!has('ogrinfo'))('GDAL opens every layer of the project file without a warning', () => {
  const result = spawnSync('ogrinfo', ['-al', '-so', join(folder, 'one/project.gpkg')], { encoding: 'utf8' })
  expect(result.status).toBe(0)
  expect(result.stderr).toBe('')
  expect(result.stdout).toContain('Layer name: patches')
  expect(vinereach('check', join(folder, 'one/project.gpkg')).status).toBe(0)
})

test.skipIf(!has('gdalinfo'))('GDAL reads the coordinate system of the sheet', () => {
  const text = execFileSync('gdalinfo', [join(folder, 'one/sheets/season-review-crew.pdf')], { encoding: 'utf8' })
  expect(text).toMatch(/UTM zone 23N/)
})

test('steps run alone: network and downstream on the files of the run', () => {
  const [lines, patches, out] = [
    join(ROOT, 'sample-layers/waterways.geojson'),
    join(folder, 'one/patches.geojson'),
    join(folder, 'load.geojson'),
  ]
  const result = vinereach('downstream', lines, '--sources', patches, '--out', out, '--json')
  expect(result.status, result.stderr).toBe(0)
  expect(JSON.parse(result.stdout).balance_error).toBeLessThan(1e-9)
  const advance = vinereach('advance', patches, '--out', join(folder, 'advance.json'), '--json')
  expect(advance.status, advance.stderr).toBe(0)
})

test('wrong words exit with 2, bad input with 1 and what to do, and leave no file', () => {
  expect(vinereach('season', brief).status).toBe(2)
  expect(vinereach('dance').status).toBe(2)
  expect(vinereach('network', brief, '--out', join(folder, 'x.geojson'), '--snap', '-1').status).toBe(2)
  const bad = join(folder, 'bad.json')
  writeFileSync(bad, '{ "title": "a", "layers": { "reports": [{ "path": "r.csv" }] }, "outline": { "radius_m": -5 } }')
  const result = vinereach('season', bad, '--out', join(folder, 'none'))
  expect(result.status).toBe(1)
  expect(result.stderr).toContain('outline.radius_m')
  expect(readdirSync(folder)).not.toContain('none')
})
