import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { buildTargets } from '../../electron/build/build.mjs'
import { check, checkAll } from '../reference/check.ts'
import { readJson, vinereach } from './run-vinereach.ts'

// Where the layers come from and under which licence: README.md in this folder.
const ROOT = join(import.meta.dirname, '../..')
const RIVERS = join(import.meta.dirname, 'values/seine.geojson')
const TRACTS = join(import.meta.dirname, 'values/tracts.zip')
const CELLS = join(ROOT, 'tests/reference/values/first-established-10km.csv')
const FARTHEST = [
  [328960.8, 4629819.7],
  [475566.4, 4627812.7],
  [379036.2, 4698838.0],
] as const
const folder = mkdtempSync(join(tmpdir(), 'vinereach-real-'))
const inFolder = (name: string) => join(folder, name)

/** What GDAL says of a layer: count and, where its system is the file's own, extent. Undefined where it is not installed. */
function ogrinfo(path: string, layer: string): { count: number; extent: number[] } | undefined {
  if (spawnSync('ogrinfo', ['--version']).error) {
    console.info(
      `ogrinfo is not installed: ${layer} is held against stored figures alone (Debian: apt-get install gdal-bin)`,
    )
    return undefined
  }
  const said = execFileSync('ogrinfo', ['-so', path, layer], { encoding: 'utf8' })
  const extent = /Extent: \((.*), (.*)\) - \((.*), (.*)\)/.exec(said)!.slice(1).map(Number)
  return { count: Number(/Feature Count: (\d+)/.exec(said)![1]), extent }
}

beforeAll(async () => {
  await buildTargets(['batch'])
}, 120_000)
afterAll(() => rmSync(folder, { recursive: true, force: true }))

describe('three rivers', () => {
  it('are read with the counts and bounds of GDAL and the lengths of GeographicLib', () => {
    const { status, answer } = vinereach('read', RIVERS)
    expect(status).toBe(0)
    const [layer] = answer.layers
    expect(layer).toMatchObject({ kind: 'line', features: 3, vertices: 658, crs: 'EPSG:4326', crs_source: 'format' })
    // Planimeter -l (GeographicLib 2.1.2) on the vertices: Marne, Seine, Yonne.
    const expected = 363673.920792 + 635614.651382 + 219398.500942
    const claim = { what: 'three rivers: length, m', source: 'Planimeter -l, GeographicLib 2.1.2' }
    check({ ...claim, expected, got: layer.length_m, within: 5e-5 })
    const gdal = ogrinfo(RIVERS, 'seine')
    if (gdal)
      check({ what: 'three rivers: lines', source: 'ogrinfo, run now', expected: gdal.count, got: layer.features })
    const bounds = gdal?.extent ?? [0.4931747, 47.0400658, 5.4077255, 49.5271671]
    const pairs = bounds.map((value, i) => [value, layer.bounds_wgs84[i]] as const)
    const source = gdal ? 'ogrinfo, run now' : 'ogrinfo, stored figures'
    checkAll({ what: 'three rivers: bounds, degrees', source, within: 5e-7, pairs })
  })

  // GEOS 3.11 (shapely) in EPSG:2154: the Marne ends 240.5 m from the Seine, the Yonne crosses it once and ends 78.2 m beyond.
  it('come apart where the source leaves a gap, and that is told', () => {
    const out = inFolder('gap.geojson')
    const { status, answer } = vinereach('network', RIVERS, '--node-crossings', '--id-field', 'name', '--out', out)
    expect(status).toBe(0)
    expect(answer).toMatchObject({ reaches: 5, nodes: 7 })
    const kinds = answer.problems.map((problem: { kind: string }) => problem.kind)
    expect(kinds).toEqual(['dead_end', 'dead_end', 'disconnected'])
  })

  it('are one network with a snap wider than the gap, of order 2 below the first confluence', () => {
    const out = inFolder('rivers.geojson')
    const mouth = '0.4931747,49.4935977'
    const { answer } = vinereach(
      ...[
        'network',
        RIVERS,
        '--snap',
        '250',
        '--node-crossings',
        '--id-field',
        'name',
        '--outlet',
        mouth,
        '--out',
        out,
      ],
    )
    expect(answer.problems).toEqual([])
    const reaches = readJson(out).features.map((feature: { properties: object }) => feature.properties) as {
      line_id: string
      strahler: number
      shreve: number
      length_m: number
    }[]
    const orders = reaches.map(({ line_id, strahler, shreve }) => `${line_id} ${strahler} ${shreve}`).sort()
    expect(orders).toEqual(['Marne 1 1', 'Seine 1 1', 'Seine 2 2', 'Seine 2 3', 'Yonne 1 1'])
    const seine = reaches.filter(({ line_id }) => line_id === 'Seine').reduce((sum, { length_m }) => sum + length_m, 0)
    // Nodes at crossings lie on the straight line between two vertices, which on segments of kilometres is longer by millimetres.
    expect(Math.abs(seine - 635614.651382)).toBeLessThan(0.01)
  })
})

describe('census tracts', () => {
  it('are read with the counts of GDAL and the area of GeographicLib', () => {
    const { status, answer } = vinereach('read', TRACTS)
    expect(status).toBe(0)
    const [layer] = answer.layers
    expect(layer).toMatchObject({ kind: 'polygon', features: 85, parts: 85, vertices: 7088, crs: 'EPSG:32618' })
    // Planimeter (GeographicLib 2.1.2) on the rings in degrees (PROJ 9.1.1), each rounded to 0.1 m2.
    const claim = { what: 'census tracts: area, m2', source: 'Planimeter, GeographicLib 2.1.2' }
    check({ ...claim, expected: 4476005010.4, got: layer.area_m2, within: 85 * 0.1 })
    const bounds = [-76.6966714352152, 41.9977776178646, -75.3596185313216, 42.6271712279753]
    const pairs = bounds.map((value, i) => [value, layer.bounds_wgs84[i]] as const)
    checkAll({ what: 'census tracts: bounds, degrees', source: 'cs2cs, PROJ 9.1.1', within: 5e-10, pairs })
    expect(layer.fields.map((field: { filled: number }) => field.filled)).toEqual([85, 85, 85])
    const gdal = ogrinfo(`/vsizip/${TRACTS}/tracts.shp`, 'tracts')
    if (gdal)
      check({ what: 'census tracts: polygons', source: 'ogrinfo, run now', expected: gdal.count, got: layer.features })
  })
})

describe('cells with the year of first detection', () => {
  /** Cells near the tracts as reports, seen again every year from the first on. */
  function writeReports(name: string): { path: string; rows: number } {
    const lines = readFileSync(CELLS, 'utf8').trim().split(/\r?\n/).slice(1)
    const rows = lines.flatMap((line, i) => {
      const [lon, lat, first] = line.split(',').map(Number) as [number, number, number]
      if (!(lon > -77.1 && lon < -75.2 && lat > 41.8 && lat < 42.8)) return []
      return [2022, 2023].filter(year => year >= first).map(year => `c${i}-${year},${year}-07-01,${lon},${lat},yes`)
    })
    writeFileSync(inFolder(name), ['id,date,lon,lat,found', ...rows].join('\n'))
    return { path: inFolder(name), rows: rows.length }
  }

  it('are read as points of two kinds of column', () => {
    const { status, answer } = vinereach('read', CELLS)
    expect(status).toBe(0)
    const lines = readFileSync(CELLS, 'utf8').trim().split(/\r?\n/).length - 1
    expect(answer.layers[0]).toMatchObject({ kind: 'point', features: lines, crs: 'EPSG:4326', crs_source: 'columns' })
    const years = answer.layers[0].fields.find((field: { name: string }) => field.name === 'first_year')
    expect(years).toMatchObject({ type: 'integer', filled: lines })
  })

  it('make patches whose infested area is that of their discs', () => {
    const { path } = writeReports('cells.csv')
    const out = inFolder('cells.geojson')
    // 3 km discs of cells 10 km apart do not overlap: the areas are sums of circles.
    const { status } = vinereach(
      'outline',
      path,
      '--radius',
      '3000',
      '--join',
      '12000',
      '--min-reports',
      '1',
      '--out',
      out,
    )
    expect(status).toBe(0)
    const patches = readJson(out).features.map((feature: { properties: object }) => feature.properties) as {
      reports: number
      infested_area_m2: number
      gross_area_m2: number
      season: string
    }[]
    expect(patches.length).toBeGreaterThan(1)
    for (const patch of patches) {
      // One cell may be reported in several years of one season table; discs at one place count once.
      const circles = patch.infested_area_m2 / (Math.PI * 3000 ** 2)
      expect(Math.abs(circles - Math.round(circles))).toBeLessThan(2e-3 * circles)
      expect(patch.gross_area_m2).toBeGreaterThanOrEqual(patch.infested_area_m2)
    }
  })

  it('stand on a sheet over the tracts, inside its neat line as GDAL reads it', () => {
    const { path, rows } = writeReports('cells.csv')
    expect(rows).toBeGreaterThan(20)
    const season = (year: string) => ({
      id: year,
      start: `${year}-01-01`,
      end: `${year}-12-31`,
      detectable: { leaf: [`${year}-01-01`, `${year}-12-31`] },
    })
    const brief = {
      title: 'Southern tier',
      species: 'sample-vine',
      layers: {
        reports: [{ path, date_format: 'iso' }],
        parcels: { path: TRACTS, fields: { id: 'AREAKEY', owner: 'AREANAME' } },
      },
      seasons: [season('2022'), season('2023')],
      sheets: [{ id: 'review', kind: 'season-review', page: 'letter', audience: 'crew' }],
    }
    writeFileSync(inFolder('brief.json'), JSON.stringify(brief))
    const out = inFolder('review.pdf')
    const { status, said } = vinereach('sheet', inFolder('brief.json'), 'review', '--out', out)
    expect(status, said).toBe(0)
    expect(new TextDecoder('latin1').decode(readFileSync(out).subarray(0, 8))).toMatch(/^%PDF-1\.7/)
    if (spawnSync('gdalinfo', ['--version']).error) return
    const info = JSON.parse(execFileSync('gdalinfo', ['-json', out], { encoding: 'utf8' }))
    expect(info.coordinateSystem.wkt).toContain('UTM zone 18N')
    const neatline = (info.metadata[''].NEATLINE as string).match(/[\d.]+/g)!.map(Number)
    const [eastings, northings] = [0, 1].map(k => neatline.filter((_, i) => i % 2 === k)) as [number[], number[]]
    // cs2cs EPSG:4326 EPSG:32618 (PROJ 9.1.1) of the cells farthest west, east and north that were found in 2023.
    for (const [x, y] of FARTHEST) {
      expect(x).toBeGreaterThan(Math.min(...eastings))
      expect(x).toBeLessThan(Math.max(...eastings))
      expect(y).toBeGreaterThan(Math.min(...northings))
      expect(y).toBeLessThan(Math.max(...northings))
    }
  })
})
