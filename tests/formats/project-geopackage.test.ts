import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import { type Column, GeometryBuilder, type Layer, layerOf } from '../../core/geo/index.ts'
import { InputError } from '../../core/model/index.ts'
import {
  checkProject,
  openSqlite,
  type ProjectContent,
  type ProjectLayer,
  readProject,
  type Sqlite,
  writeProject,
} from '../../core/project/index.ts'

const wasm = readFileSync(createRequire(import.meta.url).resolve('sql.js/dist/sql-wasm.wasm'))
const hasOgrinfo = spawnSync('ogrinfo', ['--version']).status === 0
if (!hasOgrinfo) console.info('ogrinfo (gdal-bin) is not installed: the check by an outside reader is left out.')

let sqlite: Sqlite
beforeAll(async () => {
  sqlite = await openSqlite(wasm)
})

const square = (x: number, y: number, size: number) => [x, y, x + size, y, x + size, y + size, x, y + size, x, y]
const hole = (x: number, y: number, size: number) => [x, y, x, y + size, x + size, y + size, x + size, y, x, y]

function addRing(builder: GeometryBuilder, ring: readonly number[]): void {
  for (let i = 0; i < ring.length; i += 2) builder.addVertex(ring[i]!, ring[i + 1]!)
  builder.endRing()
}

/** Polygons with a hole, with two parts and without geometry; attributes of every type under awkward names. */
function parcels(): Layer {
  const builder = new GeometryBuilder()
  addRing(builder, square(-46, 35, 0.5))
  addRing(builder, hole(-45.9, 35.1, 0.1))
  builder.endPart()
  builder.endFeature('polygon')
  addRing(builder, square(-45, 35, 0.1))
  builder.endPart()
  addRing(builder, square(-44.5, 35, 0.1))
  builder.endPart()
  builder.endFeature('polygon')
  builder.endFeature('polygon')
  const columns: Column[] = [
    { name: 'fid', type: 'integer', values: Float64Array.of(7, 2 ** 40, Number.NaN) },
    { name: 'geom', type: 'text', values: ['a', null, ''] },
    { name: 'GEOM', type: 'text', values: ['upper', 'upper', null] },
    { name: 'run_id', type: 'text', values: ['theirs', 'theirs', 'theirs'] },
    {
      name: `quote " and 'x'; DROP TABLE gpkg_contents --`,
      type: 'number',
      values: Float64Array.of(0.1, -1e300, Number.NaN),
    },
    { name: 'is_wet', type: 'boolean', values: Uint8Array.of(0, 1, 2) },
    { name: 'seen', type: 'date', values: ['2024-05-06', null, '2024-12-31'] },
    { name: 'said', type: 'date', values: ['last May', null, null] },
    { name: 'note', type: 'text', values: ['Zürich 北 🌿', 'line\nbreak', null] },
    { name: '', type: 'text', values: ['nameless', null, null] },
    { name: 'constructor', type: 'text', values: ['c', null, null] },
  ]
  const rows = Uint32Array.of(2, 3, 9)
  return {
    ...layerOf('parcels', builder.build(), 'EPSG:4326', columns),
    crsSource: 'brief',
    rows,
    encoding: 'windows-1252',
  }
}

function creeks(): Layer {
  const builder = new GeometryBuilder()
  addRing(builder, [-45, 35, -45.1, 35.2, -45.2, 35.1])
  builder.endPart()
  builder.endFeature('line')
  return layerOf('creeks', builder.build(), 'EPSG:4326')
}

function finds(): Layer {
  const builder = new GeometryBuilder()
  builder.addPoint(-45.12345678901234, 35.1)
  builder.addPoint(-45.2, 35.2)
  return layerOf('gpkg_finds', builder.build(), 'EPSG:4326', [{ name: 'id', type: 'text', values: ['a', 'b'] }])
}

function mixed(): Layer {
  const builder = new GeometryBuilder()
  builder.addPoint(-45, 35)
  addRing(builder, [-45, 35, -45.1, 35.2])
  builder.endPart()
  builder.endFeature('line')
  return layerOf('Parcels', builder.build(), 'EPSG:4326')
}

function weather(): Layer {
  const builder = new GeometryBuilder()
  builder.endFeature('point')
  builder.endFeature('point')
  return layerOf('weather', builder.build(), null, [
    { name: 'day', type: 'date', values: ['2024-01-01', '2024-01-02'] },
  ])
}

const input = (layer: Layer): ProjectLayer => ({
  layer,
  role: 'input',
  identifier: layer.name,
  description: `As read: ${layer.name}`,
  runId: null,
})

function content(): ProjectContent {
  const result = { ...input({ ...parcels(), name: 'patches' }), role: 'result' as const, runId: 'run-1' }
  return {
    dataDate: '2024-11-30',
    layers: [input(parcels()), input(creeks()), input(finds()), input(mixed()), input(weather()), result],
    documents: [
      { name: 'brief', json: '{"title":"Season"}' },
      { name: 'answers', json: '{"areas":[1,2]}' },
    ],
    runs: [
      {
        id: 'run-1',
        parameters: '{"radius_m":5}',
        inputs: [{ name: 'reports.csv', digest: 'ab'.repeat(32) }],
        softwareVersion: '0.1.0',
        warnings: ['2 rows were refused'],
        dataDate: '2024-11-30',
      },
      { id: 'run-0', parameters: '{}', inputs: [], softwareVersion: '0.1.0', warnings: [], dataDate: '2024-11-30' },
    ],
  }
}

describe('project file', () => {
  it('gives back what was put in', () => {
    expect(readProject(sqlite, writeProject(sqlite, content()))).toEqual(content())
  })

  it('is the same bytes for the same content, whatever was done before', () => {
    const first = writeProject(sqlite, content())
    writeProject(sqlite, { ...content(), layers: [input(weather())] })
    readProject(sqlite, first)
    expect(Buffer.compare(writeProject(sqlite, content()), first)).toBe(0)
  })

  it('stays the same after reading and writing again', () => {
    const first = writeProject(sqlite, content())
    expect(Buffer.compare(writeProject(sqlite, readProject(sqlite, first)), first)).toBe(0)
  })

  it('has nothing wrong with it by its own checks', () => {
    expect(checkProject(sqlite, writeProject(sqlite, content()))).toEqual([])
  })

  // OGC 12-128r17, requirement 2 and table 1; SQLite file format, offsets 60 and 68.
  it('says in its header that it is a GeoPackage 1.3', () => {
    const bytes = writeProject(sqlite, content())
    const view = new DataView(bytes.buffer)
    expect(Buffer.from(bytes.subarray(68, 72)).toString('latin1')).toBe('GPKG')
    expect(view.getUint32(60)).toBe(10300)
  })

  // OGC 12-128r17, requirement 11 (rows 4326, -1 and 0) and clause 1.1.3 (last_change in ISO 8601).
  it('holds the rows that the standard asks for', () => {
    sqlite.withDatabase(writeProject(sqlite, content()), database => {
      const systems = database.rows('SELECT srs_id, organization FROM gpkg_spatial_ref_sys ORDER BY srs_id')
      expect(systems).toEqual([
        [-1, 'NONE'],
        [0, 'NONE'],
        [4326, 'EPSG'],
      ])
      const changes = database.rows('SELECT DISTINCT last_change FROM gpkg_contents')
      expect(changes).toEqual([['2024-11-30T00:00:00.000Z']])
      const types = database.rows('SELECT geometry_type_name FROM gpkg_geometry_columns ORDER BY rowid')
      expect(types.flat()).toEqual(['MULTIPOLYGON', 'LINESTRING', 'POINT', 'GEOMETRY', 'MULTIPOLYGON'])
      expect(
        database.rows(`SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = 'parcels'`),
      ).toEqual([[-46, 35, -44.4, 35.5]])
    })
  })

  // OGC 12-128r17, table 5: magic, version, flags (little-endian, XY envelope), srs_id, envelope, then WKB of type 1.
  it('writes a point as the standard lays it out', () => {
    sqlite.withDatabase(writeProject(sqlite, content()), database => {
      const [row] = database.rows('SELECT geom FROM layer_gpkg_finds WHERE fid = 2')
      const expected = Buffer.alloc(61)
      expected.write('GP', 'latin1')
      expected.writeUInt8(3, 3)
      expected.writeInt32LE(4326, 4)
      for (const [i, value] of [-45.2, -45.2, 35.2, 35.2].entries()) expected.writeDoubleLE(value, 8 + 8 * i)
      expected.writeUInt8(1, 40)
      expected.writeUInt32LE(1, 41)
      expected.writeDoubleLE(-45.2, 45)
      expected.writeDoubleLE(35.2, 53)
      expect(Buffer.from(row![0] as Uint8Array).equals(expected)).toBe(true)
    })
  })

  it('marks results with the run that made them, beside a column of that name in the data', () => {
    sqlite.withDatabase(writeProject(sqlite, content()), database => {
      expect(database.rows('SELECT run_id, run_id_2 FROM patches WHERE fid = 1')).toEqual([['run-1', 'theirs']])
    })
  })

  it('refuses layers that are not in degrees, and runs that are not listed', () => {
    const planar = { ...input({ ...creeks(), crs: 'EPSG:32623' }) }
    expect(() => writeProject(sqlite, { ...content(), layers: [planar] })).toThrow(/EPSG:4326/)
    const stray = { ...input(creeks()), runId: 'run-9' }
    expect(() => writeProject(sqlite, { ...content(), layers: [stray] })).toThrow(/run-9/)
  })
})

describe('damage to a project file', () => {
  const codes = (bytes: Uint8Array) => checkProject(sqlite, bytes).map(problem => problem.code)

  it('is named for what it is', () => {
    const whole = writeProject(sqlite, content())
    expect(codes(new Uint8Array(10))).toEqual(['project-no-sqlite'])
    expect(codes(whole.slice(0, whole.length - 4096))).toEqual(['project-damaged'])
    const other = whole.slice()
    other[68] = 0
    expect(codes(other)).toEqual(['project-no-geopackage'])
    const page = whole.slice()
    page.fill(0xff, 4096 * 5, 4096 * 6)
    expect(codes(page)).toContain('project-damaged')
    expect(() => readProject(sqlite, page)).toThrow(InputError)
  })

  const altered = (sql: string): Uint8Array =>
    sqlite.withDatabase(writeProject(sqlite, content()), database => {
      database.run(sql)
      return database.export()
    })

  it.each([
    ['DROP TABLE creeks', 'project-contents'],
    ['DROP TABLE gpkg_extensions', 'project-table-missing'],
    ['DROP TABLE vinereach_runs', 'project-not-ours'],
    [`UPDATE creeks SET geom = 'text'`, 'project-contents'],
    [`UPDATE gpkg_geometry_columns SET srs_id = 0 WHERE table_name = 'creeks'`, 'project-contents'],
    [`UPDATE vinereach_layers SET run_id = 'gone' WHERE table_name = 'creeks'`, 'project-foreign-key'],
    ['ALTER TABLE patches DROP COLUMN note', 'project-column'],
  ])('%s: %s', (sql, code) => {
    expect(codes(altered(sql))).toContain(code)
  })

  it('tells a file of a newer version', () => {
    expect(() => readProject(sqlite, altered('UPDATE vinereach_format SET version = 2'))).toThrow(/newer version/)
  })
})

describe.skipIf(!hasOgrinfo)('an outside reader (GDAL)', () => {
  const open = (folder: string) => {
    const path = join(folder, 'project.gpkg')
    writeFileSync(path, writeProject(sqlite, content()))
    const result = spawnSync('ogrinfo', ['-al', '-so', path], { encoding: 'utf8' })
    return { path, ...result }
  }

  it('opens every layer without a warning and finds every feature', () => {
    const folder = mkdtempSync(join(tmpdir(), 'project-'))
    try {
      const { path, stdout, stderr, status } = open(folder)
      expect({ status, stderr }).toEqual({ status: 0, stderr: '' })
      expect(stdout).not.toMatch(/warning|error/i)
      for (const layer of ['parcels', 'creeks', 'layer_gpkg_finds', 'Parcels_2', 'weather', 'patches']) {
        expect(stdout).toContain(`Layer name: ${layer}\n`)
      }
      const parcel = execFileSync('ogrinfo', ['-q', path, 'parcels', '-fid', '1'], { encoding: 'utf8' })
      const shape = 'MULTIPOLYGON (((-46 35,-45.5 35,-45.5 35.5,-46 35.5,-46 35),(-45.9 35.1,-45.9 35.2,'
      expect(parcel.replace(/\.0(?=[ ,)])/g, '')).toContain(shape)
      expect(parcel).toContain('note (String) = Zürich 北 🌿')
      expect(parcel).toMatch(/seen \(Date\) = 2024\/05\/06/)
      expect(parcel).toMatch(/is_wet \(Integer\(Boolean\)\) = 0/)
      expect(parcel).toMatch(/fid_2 \(Integer64\) = 7/)
      expect(parcel).toMatch(/source_row \(Integer64\) = 2/)
    } finally {
      rmSync(folder, { recursive: true })
    }
  })
})
