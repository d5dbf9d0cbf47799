import { createPolygonEngine, frameFromCrs } from '../../core/geo/index.ts'
import {
  createTask,
  DAUBENMIRE,
  type Find,
  type MultiPolygon,
  metres,
  type OutlineSettings,
  type Visit,
} from '../../core/model/index.ts'
import { type OutlineInput, outlinePatches } from '../../core/outline/index.ts'

export const engine = await createPolygonEngine()
export const frame = frameFromCrs('+proj=tmerc +lat_0=35.7 +lon_0=-45.8 +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m')

export const SETTINGS: OutlineSettings = {
  method: 'closing',
  radius: 5,
  join: 30,
  minReports: 1,
  minReportsUnconfirmed: 2,
  accuracyLimit: 30,
  minimumHole: 0,
  searchRadius: 25,
  joinWaterWidth: 30,
  bandwidth: 'silverman',
  mass: 0.95,
  draws: 40,
  seed: 1,
  coverTable: DAUBENMIRE,
}

export const find = (reportId: string, x: number, y: number, more: Partial<Find> = {}): Find => ({
  reportId,
  season: '2024',
  date: '2024-06-01',
  x,
  y,
  radius: metres(15),
  isMeasured: true,
  accuracy95: metres(8),
  makesArea: true,
  hasAccuracy: true,
  cover: null,
  isConfirmed: true,
  ...more,
})

export const visit = (reportId: string, x: number, y: number, more: Partial<Visit> = {}): Visit => ({
  reportId,
  season: '2024',
  date: '2024-06-01',
  x,
  y,
  extent: metres(25),
  hasExtent: false,
  isFound: false,
  evidence: 'leaf',
  training: 'trained',
  recorder: null,
  ...more,
})

export const square = (west: number, south: number, east: number, north: number): MultiPolygon => [
  [Float64Array.of(west, south, east, south, east, north, west, north, west, south)],
]

interface Options extends Partial<Omit<OutlineInput, 'sightings' | 'settings'>> {
  readonly settings?: Partial<OutlineSettings>
  readonly season?: string
}

/** The outline of finds with what a test does not name left plain; warnings beside it. */
export async function outline(finds: readonly Find[], options: Options = {}) {
  const warnings: string[] = []
  const { settings, season = '2024', ...rest } = options
  const result = await outlinePatches(
    {
      sightings: { season, finds, visits: [] },
      settings: { ...SETTINGS, ...settings },
      frame,
      engine,
      clearGround: [],
      joinBreaks: null,
      isComputingIntervals: false,
      ...rest,
    },
    createTask({ onWarning: code => warnings.push(code) }),
  )
  return { ...result, warnings }
}
