import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { unzipSync } from 'fflate'
import { expect, it } from 'vitest'
import { readFile, writeShapefile } from '../../core/formats/index.ts'
import { readWithShpjs } from '../../core/formats/shapefile/second-reading.ts'
import { findColumn, type Layer } from '../../core/geo/index.ts'
import { makeParcels } from './made-data.ts'
import { hasProgram, sayFigure, sayMissing, sayPeer, timeRuns } from './stopwatch.ts'

const COUNT = 100_000
const FIELDS = [
  { name: 'PIN', type: 'text', width: 12 },
  { name: 'OWNER', type: 'text', width: 24 },
  { name: 'ACRES', type: 'number', width: 10, decimals: 2 },
  { name: 'ENTRY', type: 'date', width: 8 },
] as const

it('100,000 parcels written and read as a zipped Shapefile', async () => {
  const made = makeParcels(COUNT)
  const written = await timeRuns(2, () =>
    writeShapefile({ name: 'parcels', kind: 'polygon', prj: '', fields: FIELDS, ...made }),
  )
  const bytes = written.result
  sayFigure(`${COUNT} parcels written, ${(bytes.length / 1e6).toFixed(1)} MB`, written)
  const ours = await timeRuns(3, () => readFile('parcels.zip', bytes, { crs: 'EPSG:32623' }))
  const { layers, rejected } = ours.result
  const layer = layers[0]!
  expect([layer.featureCount, rejected.length]).toEqual([COUNT, 0])
  sayFigure(`${COUNT} parcels read from the zip into columns, every header and count checked`, ours)
  const acres = findColumn(layer, 'ACRES')!.values as Float64Array
  const sums = { area: planarArea(layer), acres: acres.reduce((sum, value) => sum + value, 0) }

  const theirs = await timeRuns(3, () => {
    const files = unzipSync(bytes)
    return readWithShpjs({ shp: files['parcels.shp']!, dbf: files['parcels.dbf'], cpg: 'UTF-8' })
  })
  const { geometries, rows } = theirs.result
  expect([geometries.length, rows.length]).toEqual([COUNT, COUNT])
  const area = geometries.reduce((sum, geometry) => sum + ringArea((geometry!.coordinates as number[][][])[0]!), 0)
  const total = rows.reduce((sum, row) => sum + Number(row.ACRES), 0)
  expect(area / sums.area).toBeCloseTo(1, 12)
  expect(total / sums.acres).toBeCloseTo(1, 12)
  sayPeer(
    'shpjs 6.2 (unpacked by fflate), into GeoJSON objects',
    ours,
    theirs,
    'counts equal, areas and sums of a field equal to 1e-12',
  )

  if (!hasProgram('ogrinfo', '--version')) return sayMissing('GDAL (ogrinfo)', 'Debian: apt-get install gdal-bin')
  const folder = mkdtempSync(join(tmpdir(), 'vinereach-bench-'))
  try {
    for (const [name, file] of Object.entries(unzipSync(bytes))) writeFileSync(join(folder, name), file)
    const sql = 'SELECT COUNT(*) AS n, SUM(OGR_GEOM_AREA) AS area, SUM(ACRES) AS acres FROM parcels'
    const gdal = await timeRuns(3, () =>
      execFileSync('ogrinfo', ['-q', join(folder, 'parcels.shp'), '-sql', sql], { encoding: 'utf8' }),
    )
    const value = (name: string) => Number(new RegExp(`${name} \\(\\w+\\) = (\\S+)`).exec(gdal.result)?.[1])
    expect(value('n')).toBe(COUNT)
    expect(value('area') / sums.area).toBeCloseTo(1, 9)
    expect(value('acres') / sums.acres).toBeCloseTo(1, 9)
    // A program of its own: its processor time is not this one's.
    sayPeer(
      'GDAL (ogrinfo with sums over every geometry and row, start of the program included, files already unpacked)',
      ours,
      { ...gdal, processor: [Number.NaN] },
      'counts equal, areas and sums of a field equal to 1e-9',
    )
  } finally {
    rmSync(folder, { recursive: true })
  }
})

function planarArea({ geometry }: Layer): number {
  let sum = 0
  for (let r = 0; r + 1 < geometry.rings.length; r++) {
    const ring = geometry.coords.subarray(2 * geometry.rings[r]!, 2 * geometry.rings[r + 1]!)
    sum += ringArea(Array.from({ length: ring.length / 2 }, (_, i) => [ring[2 * i]!, ring[2 * i + 1]!]))
  }
  return sum
}

function ringArea(ring: readonly (readonly number[])[]): number {
  const [x0, y0] = ring[0]! as [number, number]
  let sum = 0
  for (let i = 0; i + 1 < ring.length; i++) {
    const [[ax, ay], [bx, by]] = [ring[i] as [number, number], ring[i + 1] as [number, number]]
    sum += (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
  }
  return Math.abs(sum) / 2
}
