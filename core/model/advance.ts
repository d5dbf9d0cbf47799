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
  'distance_quantile_m_per_year',
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

/** A way that an outlier patch may have come by, with its distance from last season's ground; null where there is none to give. */
export interface OutlierWay {
  readonly route: OutlierRoute
  readonly distance: number | null
}

export interface OutlierPatch {
  readonly season: string
  readonly patchId: string
  /** From last season's extent, metres, overland. */
  readonly distance: number
  /** Along the water from the nearest infested reach upstream, metres; null where water does not lead there. */
  readonly waterDistance: number | null
  readonly route: OutlierRoute
  /** Ways that it may have come by, likeliest first; `route` is the first of them. */
  readonly ways: readonly OutlierWay[]
  /** Last season's patch nearest overland, with the reports that date it and the outlier itself, oldest first. */
  readonly nearestPatch: string | null
  readonly nearestReports: readonly string[]
  readonly datingReports: readonly string[]
  /** True on ground that no earlier season had searched: far, age unknown. */
  readonly isAgeUnknown: boolean
}

/** The front speed that growth and scatter would give by Fisher's formula, beside what was measured. */
export interface GrowthCheck {
  /** Growth of the logarithm of gross area a year, with its 90 % interval. */
  readonly growth: number | null
  readonly growthInterval: Interval | null
  /** Mean square distance of newly infested places from older ones / (4 years), square metres a year, and of how many. */
  readonly diffusion: number | null
  readonly places: number
  /** 2 sqrt(growth x diffusion), metres a year; null with `reason` where there is none. */
  readonly speed: number | null
  readonly reason: string | null
}

/** When a place was first seen infested, smoothed over its neighbourhood, and how the front passed there. */
export interface FirstSeenPlace {
  readonly longitude: number
  readonly latitude: number
  readonly year: number
  /** Metres a year, and degrees clockwise from true north toward which it went; null where data are thin. */
  readonly speed: number | null
  readonly azimuth: number | null
}

export interface FirstSeenSurface {
  /** Side of the cells, metres. */
  readonly cell: number
  readonly places: readonly FirstSeenPlace[]
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
  readonly growthCheck: GrowthCheck
  readonly firstSeen: FirstSeenSurface
  /** Longitude, latitude of the (first) origin of sectors and distance, and of all of them. */
  readonly origin: readonly [number, number] | null
  readonly origins: readonly (readonly [longitude: number, latitude: number])[]
  /** Median length / width of the newest patches; over 3 the round-front rate is not led with. */
  readonly elongation: number | null
}
