import type { Interval } from './patch.ts'

/** A rate a year by one method, with its 90 % interval; `value` is null where there is none to give, with the reason. */
export interface Rate {
  readonly value: number | null
  readonly low: number | null
  readonly high: number | null
  /** Number of seasons (or records) behind it. */
  readonly n: number
  readonly r2: number | null
  readonly method: string
  /** True from four seasons on: may lead an answer. */
  readonly isHeadline: boolean
  readonly reason: string | null
}

export const RATE_KINDS = [
  'radial_m_per_year',
  'distance_m_per_year',
  'displacement_m_per_year',
  'edge_move_m_per_year',
  'along_water_m_per_year',
] as const
export type RateKind = (typeof RATE_KINDS)[number]

/** What happened to the edge between two seasons. Distances in metres, positive outward. */
export interface SeasonMove {
  readonly from: string
  readonly to: string
  /** From the finds at matched effort; null with `reason` where it cannot be told. */
  readonly edgeMove: number | null
  readonly edgeMoveInterval: Interval | null
  /** By network distance along the water, with 90 % intervals between families. */
  readonly edgeMoveDownstream: number | null
  readonly edgeMoveDownstreamInterval: Interval | null
  readonly edgeMoveUpstream: number | null
  readonly edgeMoveUpstreamInterval: Interval | null
  readonly families: number
  readonly reason: string | null
  /** What the outlines show: signed displacement of the newer boundary. */
  readonly median: number | null
  readonly searchedMedian: number | null
  readonly p95: number | null
  readonly max: number | null
  readonly retreatMedian: number | null
  /** Length of the newer boundary measured, metres. */
  readonly boundaryLength: number
  readonly boundaryPoints: number
  readonly searchedPoints: number
  /** Gross area on ground that no earlier season had searched, square metres. */
  readonly newlyFoundArea: number
}

/** A group of finds of two seasons that moves together, for the arrows on the map. Working frame, metres. */
export interface EdgeFamily {
  readonly from: string
  readonly to: string
  readonly x: number
  readonly y: number
  readonly finds: readonly [older: number, newer: number]
  readonly edgeMove: number
  /** Shift of the mean position (metres) and the move of the edge toward that direction with its standard error. */
  readonly shift: readonly [dx: number, dy: number]
  readonly moveTowardShift: number
  readonly moveStandardError: number
  /** Families that grew together since: their edge move falls short. */
  readonly isMerged: boolean
}

export interface AlongWater {
  readonly season: string
  /** Network distance from the oldest infested reach to the farthest infested one, metres; null where none. */
  readonly downstream: number | null
  readonly upstream: number | null
}

export interface SectorEdge {
  readonly season: string
  readonly azimuthFrom: number
  readonly azimuthTo: number
  /** Farthest and 95th-percentile edge from the origin, metres; null where the sector holds none. */
  readonly max: number | null
  readonly p95: number | null
}

export const OUTLIER_ROUTES = ['water', 'road', 'overland', 'unknown'] as const
export type OutlierRoute = (typeof OUTLIER_ROUTES)[number]

export interface OutlierPatch {
  readonly season: string
  readonly patchId: string
  /** From last season's extent, metres, overland. */
  readonly distance: number
  /** Along the water from the nearest infested reach upstream, metres; null where water does not lead there. */
  readonly waterDistance: number | null
  readonly route: OutlierRoute
  /** True on ground that no earlier season had searched: far, age unknown. */
  readonly isAgeUnknown: boolean
}

export interface AdvanceAnswer {
  readonly seasons: readonly string[]
  readonly years: readonly number[]
  /** By season: gross area, share of ground searched, area-equivalent radius sqrt(area / pi). */
  readonly grossArea: readonly number[]
  readonly searchedShare: readonly (number | null)[]
  readonly effectiveRadius: readonly number[]
  readonly visits: readonly (number | null)[]
  readonly rates: Readonly<Record<RateKind, Rate>>
  /** The rate that the answer leads with; null where none may. */
  readonly leads: RateKind | null
  readonly moves: readonly SeasonMove[]
  readonly families: readonly EdgeFamily[]
  readonly alongWater: readonly AlongWater[]
  readonly sectors: readonly SectorEdge[]
  readonly outliers: readonly OutlierPatch[]
  /** Longitude, latitude of the origin of sectors and distance. */
  readonly origin: readonly [number, number] | null
  /** Median length / width of the newest patches; over 3 the round-front rate is not led with. */
  readonly elongation: number | null
}
