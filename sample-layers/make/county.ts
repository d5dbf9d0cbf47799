import { buildBoundary } from './boundary.ts'
import { briefText } from './brief-text.ts'
import { plantFaults } from './faults.ts'
import { polygonFeature, writeGeoJson } from './globe.ts'
import { buildLots } from './lots.ts'
import {
  carrierFeatures,
  floodFeatures,
  protectFeatures,
  releaseFeatures,
  roadFeatures,
  treatmentFeatures,
  visitFeatures,
} from './management-layers.ts'
import { buildMesh } from './mesh.ts'
import { buildParcels, writeParcels } from './parcels.ts'
import type { WrittenSeason } from './report-files.ts'
import { writeReports } from './report-files.ts'
import { sightSeason } from './reports.ts'
import { buildRoads } from './roads.ts'
import { buildSearched } from './searched.ts'
import { traceStreams } from './streams.ts'
import { carveTerrain } from './terrain.ts'
import { describeTruth, truthFeatures } from './truth.ts'
import { growVine, SEASONS, type SeasonYear } from './vine.ts'
import { buildWaterways, vineCourse } from './waterways.ts'

/** Distance between the points of the terrain, metres. */
const SPACING = 72

/** Every file of the sample county by name: relief, then water, roads, land, the vine, and what people saw of it. */
export function buildCounty(): Map<string, Uint8Array> {
  const mesh = buildMesh(SPACING)
  const terrain = carveTerrain(mesh)
  const streams = traceStreams(mesh, terrain)
  const boundary = buildBoundary()
  const roads = buildRoads(mesh, terrain, boundary)
  const parcels = buildParcels(buildLots(roads, streams, boundary))
  const water = buildWaterways(streams, 7290)
  const course = vineCourse(streams)
  const patches = growVine(streams, roads, boundary)
  const searched = buildSearched(course, roads, boundary, patches)
  const county = { streams, roads, boundary, patches }
  const written = new Map<SeasonYear, WrittenSeason>()
  for (const season of SEASONS) {
    const sightings = plantFaults(sightSeason(county, season), patches, boundary, season)
    written.set(season, writeReports(sightings, season))
  }
  const text = new TextEncoder()
  const files = new Map<string, Uint8Array>()
  files.set('brief.json', text.encode(briefText()))
  for (const [season, { bytes }] of written) files.set(`reports-${season}.csv`, bytes)
  files.set('parcels.zip', writeParcels(parcels))
  const layers = {
    waterways: water.features,
    barriers: water.barriers,
    roads: roadFeatures(roads),
    boundary: [polygonFeature([boundary], { id: 'tollavane', name: 'Tollavane County' })],
    searched: searched.map(ground => ground.feature),
    carriers: carrierFeatures(roads, patches),
    flood: floodFeatures(course, streams),
    treatments: treatmentFeatures(patches),
    releases: releaseFeatures(patches),
    visits: visitFeatures(patches),
    protect: protectFeatures(course, streams),
    'truth-patches': truthFeatures(patches),
  }
  for (const [name, features] of Object.entries(layers)) files.set(`${name}.geojson`, writeGeoJson(name, features))
  const truth = describeTruth(patches, written, water.planted, searched)
  files.set('truth.json', text.encode(`${JSON.stringify(truth, null, 1)}\n`))
  return files
}
