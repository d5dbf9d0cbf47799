import { execFileSync, spawnSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { parse } from 'jsonc-parser'
import { beforeAll, describe, expect, it } from 'vitest'
import { readFile } from '../../core/formats/index.ts'
import {
  columnValue,
  findColumn,
  type Layer,
  measureLayer,
  measurePathLength,
  projectLayerToGlobe,
} from '../../core/geo/index.ts'
import { buildCounty } from '../../sample-layers/make/county.ts'

const folder = fileURLToPath(new URL('../../sample-layers/', import.meta.url))
const stored = (name: string) => new Uint8Array(readFileSync(folder + name))
const storedText = (name: string) => new TextDecoder().decode(stored(name))
const digest = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex')
const truth = JSON.parse(storedText('truth.json'))
const SEASONS = ['2021', '2022', '2023', '2024', '2025'] as const

async function readLayer(name: string): Promise<Layer> {
  const { layers, rejected } = await readFile(name, stored(name))
  expect(rejected).toEqual([])
  return layers[0] as Layer
}

describe('the files of the sample county', () => {
  let made: Map<string, Uint8Array>
  beforeAll(() => {
    made = buildCounty()
  }, 120_000)

  it('come out of the generator to the byte', () => {
    const fresh = Object.fromEntries([...made].map(([name, bytes]) => [name, digest(bytes)]))
    const kept = Object.fromEntries([...made.keys()].map(name => [name, digest(stored(name))]))
    expect(fresh).toEqual(kept)
  })

  it('are all that the folder holds beside the script, its page and the pictures, and stay small', () => {
    const inFolder = readdirSync(folder).filter(name => !['make', 'pictures', 'README.md'].includes(name))
    expect(inFolder.sort()).toEqual([...made.keys()].sort())
    expect([...made.values()].reduce((sum, bytes) => sum + bytes.length, 0)).toBeLessThan(4e6)
  })

  it('are named by the brief, every one that it names', () => {
    const named = [...storedText('brief.json').matchAll(/"path": "([^"]+)"/g)].map(match => match[1] as string)
    expect(named.filter(name => !made.has(name))).toEqual([])
    const brief = parse(storedText('brief.json'))
    expect(brief.seasons.map((season: { id: string }) => season.id)).toEqual([...SEASONS])
  })
})

/** How often each edge of a polygon layer is walked, by its two ends in the way of the walk. */
function walkEdges(layer: Layer): Map<string, number> {
  const { coords, rings } = layer.geometry
  const place = (v: number) => `${coords[2 * v]},${coords[2 * v + 1]}`
  const walked = new Map<string, number>()
  for (let r = 0; r + 1 < rings.length; r++)
    for (let v = rings[r]!; v + 1 < rings[r + 1]!; v++) {
      const edge = `${place(v)}>${place(v + 1)}`
      walked.set(edge, (walked.get(edge) ?? 0) + 1)
    }
  return walked
}

describe('parcels', () => {
  let parcels: Layer
  beforeAll(async () => {
    parcels = await readLayer('parcels.zip')
  })

  it('are about four thousand in UTM zone 23N, some in several parts, one with a hole', () => {
    expect(parcels.featureCount).toBeGreaterThan(3800)
    expect(parcels.featureCount).toBeLessThan(4600)
    expect(parcels.crs).toBe('EPSG:32623')
    const { features, parts } = parcels.geometry
    const counts = Array.from({ length: parcels.featureCount }, (_, f) => features[f + 1]! - features[f]!)
    expect(counts.filter(count => count > 1).length).toBeGreaterThanOrEqual(20)
    const holes = Array.from({ length: parts.length - 1 }, (_, p) => parts[p + 1]! - parts[p]! - 1)
    expect(holes.filter(count => count > 0)).toEqual([1])
  })

  it('have the fields of the roll, and a number of their own each', () => {
    expect(parcels.columns.map(column => column.name)).toEqual(['PIN', 'OWNER', 'LANDUSE', 'ACRES', 'ENTRY'])
    const pins = Array.from({ length: parcels.featureCount }, (_, f) => columnValue(findColumn(parcels, 'PIN')!, f))
    expect(new Set(pins).size).toBe(parcels.featureCount)
  })

  it('tile the county: every edge is walked once each way, or once along the county line', async () => {
    const boundary = await readLayer('boundary.geojson')
    const globe = projectLayerToGlobe(parcels)
    const [whole, pieces] = [measureLayer(boundary).area, measureLayer(globe).area]
    expect(Math.abs(pieces - whole) / whole).toBeLessThan(1e-6)
    const walked = walkEdges(parcels)
    // The same way twice would be two parcels on one side of an edge: an overlap.
    expect([...walked.values()].filter(count => count > 1)).toEqual([])
    const unmet = [...walked.keys()].filter(edge => !walked.has(edge.split('>').reverse().join('>')))
    const ends = unmet.map(edge => edge.split('>').map(end => end.split(',').map(Number)) as [number[], number[]])
    const length = ends.reduce((sum, [a, b]) => sum + Math.hypot(b[0]! - a[0]!, b[1]! - a[1]!), 0)
    const line = measurePathLength(boundary.geometry.coords)
    // What no second parcel meets is the county line, at the frame's scale (0.9996 to 0.9997 here).
    expect(length / line).toBeGreaterThan(0.9995)
    expect(length / line).toBeLessThan(0.9998)
  })

  it('open in OGR with the same count and system', context => {
    if (spawnSync('ogrinfo', ['--version']).error) {
      console.info('ogrinfo is not installed: the parcels were not opened with OGR (Debian: apt-get install gdal-bin)')
      context.skip()
    }
    const said = execFileSync('ogrinfo', ['-al', '-so', `/vsizip/${folder}parcels.zip`], { encoding: 'utf8' })
    expect(said).toContain(`Feature Count: ${parcels.featureCount}`)
    expect(said).toContain('ID["EPSG",32623]')
    expect(said).toMatch(/PIN: String \(12\.0\)/)
    expect(said).toMatch(/ACRES: Real \(10\.2\)/)
  })
})

describe('waterways', () => {
  let lines: Layer
  const text = (feature: number, field: string) => columnValue(findColumn(lines, field)!, feature)
  const rowOf = (id: string) => Array.from({ length: lines.featureCount }, (_, f) => f).find(f => text(f, 'id') === id)!
  beforeAll(async () => {
    lines = await readLayer('waterways.geojson')
  })

  it('are over six hundred, with one marked outlet and a braid whose shares make one', () => {
    expect(lines.featureCount).toBeGreaterThan(600)
    const marked = Array.from({ length: lines.featureCount }, (_, f) => f).filter(f => text(f, 'outlet') === true)
    expect(marked.map(f => text(f, 'id'))).toEqual([truth.planted_water.outlet_line])
    const { main, side } = truth.planted_water.braid
    expect(Number(text(rowOf(main), 'share')) + Number(text(rowOf(side), 'share'))).toBeCloseTo(1, 12)
  })

  it('hold the planted faults: two reversed lines without a direction, gaps past the snap, near misses within it', () => {
    const { reversed_lines, gaps, near_misses, crossings } = truth.planted_water
    expect(reversed_lines).toHaveLength(2)
    for (const id of reversed_lines) expect(text(rowOf(id), 'direction')).toBeNull()
    expect(gaps).toHaveLength(2)
    for (const gap of gaps) expect(gap.metres).toBeGreaterThan(5)
    for (const gap of gaps) expect(gap.metres).toBeLessThan(20)
    expect(near_misses).toHaveLength(5)
    for (const miss of near_misses) expect(miss.metres).toBeLessThan(2)
    expect(crossings).toHaveLength(2)
  })
})

describe('reports', () => {
  /** Cells of the row as the file numbers it; no cell of these files is quoted across a line. */
  const cellsOf = (file: string, row: number) => {
    const line = storedText(file).split('\r\n')[row - 1] as string
    return line.split(file === 'reports-2022.csv' ? ';' : ',')
  }
  const planted = (kind: string) =>
    truth.planted_reports.filter((entry: { kind: string }) => entry.kind === kind) as { file: string; row: number }[]

  it('are about six hundred a season, fewest in the poor one and most in the strong one', () => {
    const counts = SEASONS.map(season => storedText(`reports-${season}.csv`).split('\r\n').length - 2)
    for (const count of counts) expect(count).toBeGreaterThan(450)
    for (const count of counts) expect(count).toBeLessThan(850)
    expect(Math.min(...counts)).toBe(counts[2])
    expect(Math.max(...counts)).toBe(counts[4])
  })

  it('differ between years as exports do', () => {
    expect(storedText('reports-2021.csv')).toMatch(/^Report No,Date seen,[\s\S]*\r\n[^,]+,\d{1,2}\/\d{1,2}\/2021,/)
    expect([...stored('reports-2022.csv').slice(0, 3)]).toEqual([0xef, 0xbb, 0xbf])
    expect(cellsOf('reports-2022.csv', 2)).toHaveLength(16)
    expect(storedText('reports-2024.csv')).toMatch(/\r\n[^,]+,2024-\d\d-\d\d,/)
  })

  it('hold the mess that the truth lists, in the rows that it names', () => {
    for (const { file, row } of planted('zero-coordinates')) expect(cellsOf(file, row).slice(2, 4)).toEqual(['0', '0'])
    for (const { file, row } of planted('swapped-coordinates')) expect(Number(cellsOf(file, row)[3])).toBeLessThan(-40)
    for (const { file, row } of planted('future-date')) expect(cellsOf(file, row)[1]).toMatch(/2027/)
    for (const { file, row } of planted('blank-id')) expect(cellsOf(file, row)[0]).toBe('')
    for (const { file, row } of planted('missing-accuracy')) expect(cellsOf(file, row)[8]).toBe('')
    for (const { file, row } of planted('truncated-coordinates')) expect(cellsOf(file, row)[2]).toMatch(/^-45\.\d\d$/)
    for (const kind of [
      'duplicate',
      'near-duplicate',
      'winter-find',
      'winter-not-found',
      'not-found-outside-window',
      'outside-boundary',
      'unparsable-date',
      'accuracy-worse-than-limit',
    ])
      expect(planted(kind).length, kind).toBeGreaterThanOrEqual(10)
  })

  it('leave at least twelve families with five finds or more in both of the last two seasons', () => {
    const last = truth.edge_move.at(-1)
    expect([last.from, last.to]).toEqual(['2024', '2025'])
    expect(last.families.length).toBeGreaterThanOrEqual(12)
    for (const { finds } of last.families) expect(Math.min(...finds)).toBeGreaterThanOrEqual(5)
  })

  it('let the vine move down the water by 0.6 to 1.2 km a season', () => {
    const fronts = truth.along_water_front.map((entry: { farthest_along_m: number }) => entry.farthest_along_m)
    const steps = fronts.slice(1).map((front: number, i: number) => front - fronts[i])
    for (const step of steps) expect(step).toBeGreaterThan(600)
    for (const step of steps) expect(step).toBeLessThan(1200)
  })
})
