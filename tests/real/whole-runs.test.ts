import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { buildTargets } from '../../electron/build/build.mjs'
import { check, checkAll } from '../reference/check.ts'
import { drawSheet, readJson, vinereach } from './run-vinereach.ts'

// Where the layers come from and under which licence: README.md in this folder.
const DRAINAGE = join(import.meta.dirname, 'values/drainage.geojson')
const SEINE = join(import.meta.dirname, 'values/seine.geojson')
const CELLS = join(import.meta.dirname, '../reference/values/first-established-10km.csv')

const folder = mkdtempSync(join(tmpdir(), 'vinereach-whole-'))
const inFolder = (name: string) => join(folder, name)
const season = (year: number) => ({
  id: String(year),
  start: `${year}-01-01`,
  end: `${year}-12-31`,
  detectable: { leaf: [`${year}-01-01`, `${year}-12-31`] },
})
const reviewSheet = { id: 'review', kind: 'season-review', page: 'letter', audience: 'crew' }

function writeBrief(name: string, brief: object): string {
  writeFileSync(inFolder(name), JSON.stringify({ species: 'sample-vine', sheets: [reviewSheet], ...brief }))
  return inFolder(name)
}

/** Nobody maps vines on these rivers: four invented finds about one place, seen in two years. */
function writeInventedSource(name: string, longitude: number, latitude: number): string {
  const offsets = [
    [0, 0],
    [0.0002, 0.0001],
    [-0.0001, 0.0002],
    [0.0001, -0.0002],
  ] as const
  const rows = offsets.flatMap(([x, y], i) =>
    [2024, 2025].map(year => `invented-${i}-${year},${year}-07-01,${longitude + x},${latitude + y},yes,confirmed`),
  )
  writeFileSync(inFolder(name), ['id,date,lon,lat,found,status', ...rows].join('\n'))
  return inFolder(name)
}

interface ReachRow {
  readonly line_id: string
  readonly length_m: number
  readonly strahler: number
  readonly shreve: number
  readonly load_in: number
  readonly load_own: number
  readonly load_out: number
  readonly deposit: number
}
const reachesOf = (file: string): ReachRow[] =>
  readJson(file).features.map(({ properties }: { properties: ReachRow }) => properties)

beforeAll(async () => {
  await buildTargets(['batch'])
}, 120_000)
afterAll(() => rmSync(folder, { recursive: true, force: true }))

describe('a drainage of 22 lines with a braid and two diffluences', () => {
  // GeographicLib 2.1.2 (Planimeter -l) on the vertices brought to degrees by PROJ 9.1.1 (cs2cs), lines 0 to 21.
  const LENGTHS = [
    8726.582453, 4257.035843, 4126.41384, 1193.850211, 3678.112637, 732.403652, 1884.698175, 3442.011887, 2233.620804,
    10205.469063, 2061.312698, 83.734179, 1687.179008, 2098.763158, 227.87646, 3105.916587, 3886.990401, 1235.318724,
    1106.873379, 1122.177878, 3264.725797, 2306.127887,
  ]

  it('is read and becomes one network as networkx has it', () => {
    const { answer } = vinereach('read', DRAINAGE)
    expect(answer.layers[0]).toMatchObject({ kind: 'line', features: 22, vertices: 366, crs: 'EPSG:32718' })
    const network = vinereach('network', DRAINAGE, '--id-field', 'id', '--out', inFolder('drainage.geojson'))
    expect(network.status).toBe(0)
    expect(network.answer.problems).toEqual([])
    const reaches = reachesOf(inFolder('drainage.geojson'))
    const pairs = reaches.map(({ line_id, length_m }) => [LENGTHS[Number(line_id)]!, length_m] as const)
    checkAll({
      what: 'drainage: length of reaches, m',
      source: 'Planimeter -l, GeographicLib 2.1.2',
      within: 1e-5,
      pairs,
    })
    // networkx 2.8.8, MultiDiGraph of first and last vertices; its 8 nodes without inflow all reach its one end.
    const source = 'networkx 2.8.8 MultiDiGraph'
    check({ what: 'drainage: nodes', source, expected: 20, got: network.answer.nodes })
    check({ what: 'drainage: reaches', source, expected: 22, got: network.answer.reaches })
    const last = reaches.find(({ line_id }) => line_id === '20')!
    check({ what: 'drainage: headwaters above the end', source, expected: 8, got: last.shreve, within: 1e-9 })
  })

  it('takes the load of an invented source down to its end', () => {
    const reports = writeInventedSource('drainage.csv', -74.44332, -5.69293)
    expect(vinereach('outline', reports, '--out', inFolder('source.geojson')).status).toBe(0)
    const args = ['--sources', inFolder('source.geojson'), '--retention', '5000', '--out', inFolder('load.geojson')]
    const { answer } = vinereach('downstream', DRAINAGE, ...args)
    const { load_total, deposit_total, outlet_total, held_total, stranded_total, unrouted_total } = answer
    expect(load_total).toBeGreaterThan(0)
    const ends = deposit_total + outlet_total + held_total + stranded_total + unrouted_total
    check({
      what: 'drainage: load accounted for',
      source: 'conservation of mass',
      expected: load_total,
      got: ends,
      share: 1e-9,
    })
    // Lines 15, 18 and 20 follow each other; what joins between them carries nothing.
    const reach = (id: string) => reachesOf(inFolder('load.geojson')).find(({ line_id }) => line_id === id)!
    const way = LENGTHS[15]! + LENGTHS[18]! + LENGTHS[20]!
    const expected = reach('15').load_in * Math.exp(-way / 5000)
    expect(expected).toBeGreaterThan(1)
    const source = 'M exp(-L / retention), L by Planimeter'
    check({ what: 'drainage: load at its end', source, expected, got: reach('20').load_out, share: 1e-8 })
    const brief = writeBrief('drainage.json', {
      title: 'A drainage with an invented source',
      layers: {
        reports: [{ path: reports, date_format: 'iso' }],
        waterways: { path: DRAINAGE, fields: { id: 'id' } },
      },
      seasons: [season(2024), season(2025)],
    })
    const what = 'Drainage of 22 lines, invented source: where to look downstream'
    const drawn = drawSheet(brief, 'review', { name: 'drainage', what })
    expect(drawn.status, drawn.said).toBe(0)
  })
})

describe('three rivers', () => {
  it('take the load of an invented source at the head of the Yonne to the sea', () => {
    const reports = writeInventedSource('yonne.csv', 3.9677841, 47.0400658)
    expect(vinereach('outline', reports, '--out', inFolder('yonne.geojson')).status).toBe(0)
    const { status, answer } = vinereach(
      ...['downstream', SEINE, '--sources', inFolder('yonne.geojson'), '--snap', '250', '--node-crossings'],
      ...['--retention', '100000', '--out', inFolder('seine.geojson')],
    )
    expect(status).toBe(0)
    const { load_total, deposit_total, outlet_total, held_total, stranded_total, unrouted_total } = answer
    const ends = deposit_total + outlet_total + held_total + stranded_total + unrouted_total
    const claim = { what: 'three rivers: load accounted for', source: 'conservation of mass' }
    check({ ...claim, expected: load_total, got: ends, share: 1e-9 })
    const loaded = reachesOf(inFolder('seine.geojson')).filter(({ load_in, load_own }) => load_in + load_own > 0)
    // The Yonne, the Seine to the Marne and the Seine below it; nothing goes up the Marne or the upper Seine.
    expect(loaded.map(({ load_own }) => load_own > 0).sort()).toEqual([false, false, true])
    const passing = loaded.filter(({ load_own }) => load_own === 0)
    checkAll({
      what: 'three rivers: load out of two reaches',
      source: 'M exp(-L / retention)',
      share: 1e-9,
      pairs: passing.map(({ load_in, length_m, load_out }) => [load_in * Math.exp(-length_m / 100_000), load_out]),
    })
    const brief = writeBrief('seine.json', {
      title: 'Three rivers with an invented source',
      layers: {
        reports: [{ path: reports, date_format: 'iso' }],
        waterways: { path: SEINE, fields: { id: 'name', name: 'name' } },
      },
      seasons: [season(2024), season(2025)],
      downstream: { snap_m: 250, node_crossings: true },
    })
    const what = 'Marne, Seine and Yonne, invented source at the head of the Yonne: where to look downstream'
    const drawn = drawSheet(brief, 'review', { name: 'three-rivers', what })
    expect(drawn.status, drawn.said).toBe(0)
  })
})

describe('cells with the year of first detection, 2014 to 2017', () => {
  const YEARS = [2014, 2015, 2016, 2017]
  const cells = readFileSync(CELLS, 'utf8')
    .trim()
    .split(/\r?\n/)
    .slice(1)
    .map(line => line.split(',').map(Number) as [longitude: number, latitude: number, year: number])

  /** A cell is reported in every year from its first on. */
  function writeReports(): string {
    const rows = cells.flatMap(([longitude, latitude, first], i) =>
      YEARS.filter(year => year >= first).map(year => `c${i}-${year},${year}-07-01,${longitude},${latitude},yes`),
    )
    writeFileSync(inFolder('cells.csv'), ['id,date,lon,lat,found', ...rows].join('\n'))
    return inFolder('cells.csv')
  }

  it('go from reports to outlines to an advance and onto a sheet', () => {
    const reports = writeReports()
    const patchFile = inFolder('cells.geojson')
    const sizes = ['--radius', '5000', '--join', '10000', '--min-reports', '1']
    expect(vinereach('outline', reports, ...sizes, '--out', patchFile).status).toBe(0)
    const patches = readJson(patchFile).features.map((feature: { properties: object }) => feature.properties) as {
      season: string
      reports: number
      gross_area_m2: number
    }[]
    const inSeason = (year: number) => patches.filter(patch => patch.season === String(year))
    // The cumulative counts are the published areas over 100 km2 (values/spread.json, sqrt-area-2014-2020).
    checkAll({
      what: 'cells by year that patches rest on',
      source: 'De Bona et al. (2023), areas / 100 km2',
      pairs: [4, 8, 28, 79].map((count, i) => [count, inSeason(YEARS[i]!).reduce((sum, { reports: n }) => sum + n, 0)]),
    })
    const out = inFolder('advance.json')
    expect(vinereach('advance', patchFile, '--reports', reports, '--step', '2000', '--out', out).status).toBe(0)
    const advance = readJson(out)
    expect(advance.seasons).toEqual(YEARS.map(String))
    // R lm on sqrt(area / pi): here by the sums of least squares over the areas of the patches.
    const radii = YEARS.map(year =>
      Math.sqrt(inSeason(year).reduce((sum, { gross_area_m2 }) => sum + gross_area_m2, 0) / Math.PI),
    )
    const slope = (-1.5 * radii[0]! - 0.5 * radii[1]! + 0.5 * radii[2]! + 1.5 * radii[3]!) / 5
    const claim = { what: 'cells: sqrt(area/pi) on year, m/year', source: 'least squares by hand on the patches' }
    const got = advance.rates.radial_m_per_year.value
    check({ ...claim, expected: slope, got, share: 1e-9 })
    const brief = writeBrief('cells.json', {
      title: 'Planthopper cells, 2014-2017',
      layers: { reports: [{ path: reports, date_format: 'iso' }] },
      seasons: YEARS.map(season),
      outline: { radius_m: 5000, join_m: 10_000, min_reports: 1, min_reports_unconfirmed: 1, draws: 10 },
      advance: { step_m: 2000 },
    })
    const what = 'Cells with an established planthopper, 2014 to 2017: outlines and edge move'
    const drawn = drawSheet(brief, 'review', { name: 'planthopper-cells', what })
    expect(drawn.status, drawn.said).toBe(0)
  }, 180_000)
})
