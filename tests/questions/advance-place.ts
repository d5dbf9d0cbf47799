import { frameFromCrs, planarArea, toGlobePolygons } from '../../core/geo/index.ts'
import type {
  AdvanceSettings,
  MultiPolygon,
  Patch,
  PatchHistory,
  SearchedGround,
  Season,
  SpeciesProfile,
  SquareMetres,
} from '../../core/model/index.ts'

/** Open ocean, so that nobody takes it for a place. */
export const frame = frameFromCrs(
  '+proj=tmerc +lat_0=35.7 +lon_0=-45.8 +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m',
  new Float64Array([-45.8, 35.7]),
)

export const settings: AdvanceSettings = { origin: 'first-patch', step: 25, sectors: 8, draws: 20, seed: 1 }

/** A regular polygon of many corners whose corners lie on the circle. */
export function disc(x: number, y: number, radius: number, corners = 720): MultiPolygon {
  const ring = new Float64Array(2 * corners + 2)
  for (let i = 0; i <= corners; i++) {
    const angle = (2 * Math.PI * (i % corners)) / corners
    ring.set([x + radius * Math.cos(angle), y + radius * Math.sin(angle)], 2 * i)
  }
  return [[ring]]
}

export function box(x: number, y: number, width: number, height: number): MultiPolygon {
  return [[Float64Array.of(x, y, x + width, y, x + width, y + height, x, y + height, x, y)]]
}

export function patchOf(season: string, id: string, planar: MultiPolygon, reportIds: readonly string[] = []): Patch {
  const area = planarArea(planar) as SquareMetres
  return {
    season,
    id,
    reportIds,
    planar,
    outline: toGlobePolygons(planar, frame),
    infestedPlanar: planar,
    grossArea: area,
    infestedArea: area,
    netCanopy: null,
    coverKnownShare: 0,
    measuredShare: 0,
    defaultShare: 1,
    infillShare: 0,
    grossInterval: null,
    infestedInterval: null,
    firstSeen: `${season}-07-01`,
    lastSeen: `${season}-07-01`,
    isConfirmed: true,
  }
}

export const seasonOf = (year: number): Season => ({
  id: String(year),
  start: `${year}-01-01`,
  end: `${year}-12-31`,
  year,
  detectable: {},
})

export const searchedOf = (season: string, planar: MultiPolygon, visits = 10): SearchedGround => ({
  season,
  planar,
  area: planarArea(planar) as SquareMetres,
  visits,
  share: 0.5,
})

export const historyOf = (
  season: string,
  patchId: string,
  status: PatchHistory['status'],
  linkedFrom: readonly string[] = [],
): PatchHistory => ({ season, patchId, status, linkedFrom, isTreated: false })

const from = <T>(value: T) => ({ value, source: 'test' })
const range = { low: 1, high: 2 }

export const profile: SpeciesProfile = {
  id: 'test-vine',
  name: 'Test vine',
  stemGrowthSeason: from(19.812),
  stemGrowthDay: from(0.2032),
  retention: { ordinary: from(200), flood: from(2000) },
  retentionRange: { ordinary: range, flood: range },
  propagules: from(2),
  propagulesRange: range,
  establishment: from(0.01),
  establishmentRange: range,
}
