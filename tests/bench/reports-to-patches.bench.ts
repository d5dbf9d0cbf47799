import { expect, it } from 'vitest'
import { readFile, readReports } from '../../core/formats/index.ts'
import { createPolygonEngine, frameFromCrs, planarArea } from '../../core/geo/index.ts'
import {
  createTask,
  DAUBENMIRE,
  type MultiPolygon,
  type OutlineSettings,
  type Polygon,
} from '../../core/model/index.ts'
import { outlinePatches } from '../../core/outline/index.ts'
import { placeSightings } from '../../core/vet/index.ts'
import { makeReportsCsv, ORIGIN } from './made-data.ts'
import { sayFigure, sayPeer, timeRuns } from './stopwatch.ts'

const SETTINGS: OutlineSettings = {
  method: 'closing',
  radius: 5,
  join: 30,
  minReports: 1,
  minReportsUnconfirmed: 1,
  accuracyLimit: 30,
  minimumHole: 0,
  searchRadius: 25,
  joinWaterWidth: 30,
  bandwidth: 'silverman',
  mass: 0.95,
  draws: 0,
  seed: 1,
  coverTable: DAUBENMIRE,
}
const SEASON = {
  id: '2024',
  start: '2024-01-01',
  end: '2024-12-31',
  detectable: { leaf: ['2024-01-01', '2024-12-31'] as const },
}
const SEGMENTS = 8

it('50,000 reports to patches, beside GEOS', async () => {
  const count = 50_000
  const csv = makeReportsCsv(count)
  const engine = await createPolygonEngine()
  const frame = frameFromCrs(
    `+proj=tmerc +lat_0=${ORIGIN.latitude} +lon_0=${ORIGIN.longitude} +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m`,
  )
  const intake = await timeRuns(3, async () => {
    const { layers } = await readFile('reports.csv', csv)
    const { reports } = readReports(layers[0]!, { path: 'reports.csv', fields: {}, dateFormat: 'auto' } as never, {
      file: 'reports.csv',
      coverTable: DAUBENMIRE,
    })
    const admissions = reports.map(report => ({ reportId: report.id, isAdmitted: true }))
    return placeSightings({ reports, admissions, seasons: [SEASON], frame, outline: SETTINGS } as never)
  })
  const sightings = intake.result[0]!
  const ours = await timeRuns(3, () =>
    outlinePatches(
      { sightings, settings: SETTINGS, frame, engine, clearGround: [], joinBreaks: null, isComputingIntervals: false },
      createTask(),
    ),
  )
  const { patches } = ours.result
  sayFigure(`${count} reports, from the text of a CSV to ${sightings.finds.length} finds and their visits`, intake)
  sayFigure(
    `${sightings.finds.length} finds to ${patches.length} patches: groups, closings, areas, shares, canopy`,
    ours,
  )

  // The peer does a part of it: grown discs united and shrunk, and the union of the discs; no ellipsoidal areas, shares or canopy.
  const geos = await timeRuns(
    1,
    () => {
      const grown = engine.union([drawDiscs(sightings.finds, SETTINGS.join / 2)])
      // Shrunk one by one: all together take GEOS many times longer.
      const closed = grown.flatMap(polygon => engine.buffer([polygon], -SETTINGS.join / 2, SEGMENTS))
      return { grown, closed, infested: engine.union([drawDiscs(sightings.finds, 0)]) }
    },
    false,
  )
  const gross = patches.reduce((sum, patch) => sum + planarArea(patch.planar), 0)
  const infested = patches.reduce((sum, patch) => sum + planarArea(patch.infestedPlanar), 0)
  const [grossRatio, infestedRatio] = [
    gross / planarArea(geos.result.closed),
    infested / planarArea(geos.result.infested),
  ]
  expect(Math.abs(patches.length - geos.result.grown.length)).toBeLessThanOrEqual(patches.length / 1000)
  expect(Math.abs(grossRatio - 1)).toBeLessThan(2e-3)
  expect(Math.abs(infestedRatio - 1)).toBeLessThan(2e-3)
  sayPeer(
    `GEOS 3.13 through geos-wasm, the closing and the union alone, ${SEGMENTS} segments a quarter`,
    ours,
    geos,
    `patches ${patches.length} and ${geos.result.grown.length}, gross area ${grossRatio.toFixed(6)} of its, infested ${infestedRatio.toFixed(6)} (tolerance 0.2 %)`,
  )
})

interface Disc {
  readonly x: number
  readonly y: number
  readonly radius: number
}

/** Discs as polygons of the circles' own area, which any polygon library takes. */
function drawDiscs(discs: readonly Disc[], growth: number): MultiPolygon {
  const corners = 4 * SEGMENTS
  const turn = (2 * Math.PI) / corners
  const outward = Math.sqrt(turn / Math.sin(turn))
  return discs.map(({ x, y, radius }): Polygon => {
    const ring = new Float64Array(2 * (corners + 1))
    for (let k = 0; k <= corners; k++) {
      ring[2 * k] = x + (radius + growth) * outward * Math.cos((k % corners) * turn)
      ring[2 * k + 1] = y + (radius + growth) * outward * Math.sin((k % corners) * turn)
    }
    return [ring]
  })
}
