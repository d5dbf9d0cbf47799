import { type AdvanceAnswer, type OutlierPatch, type PatchNotSeen, RATE_KINDS, type Rate } from '../model/index.ts'
import { ASSUMES, disagreements, leadReason } from './compare-rates.ts'

/** The object of advance.json, in the names of the interface; figures are never rounded. */
export function advanceJson(answer: AdvanceAnswer, notSeen: readonly PatchNotSeen[]) {
  const { growthCheck: growth, firstSeen } = answer
  return {
    seasons: answer.seasons,
    years: answer.years,
    gross_area_m2: answer.grossArea,
    searched_share: answer.searchedShare,
    visits: answer.visits,
    effective_radius_m: answer.effectiveRadius,
    rates: Object.fromEntries(
      RATE_KINDS.map(kind => [kind, { ...rateJson(answer.rates[kind]), assumes: ASSUMES[kind] }]),
    ),
    leads: answer.leads,
    leads_because: leadReason(answer),
    disagreements: disagreements(answer),
    fisher: {
      growth_per_year: growth.growth,
      growth_low: growth.growthInterval?.low ?? null,
      growth_high: growth.growthInterval?.high ?? null,
      diffusion_m2_per_year: growth.diffusion,
      places: growth.places,
      speed_m_per_year: growth.speed,
      reason: growth.reason,
    },
    elongation: answer.elongation,
    origin: answer.origin,
    origins: answer.origins,
    displacement: answer.moves.map(move => ({
      from: move.from,
      to: move.to,
      edge_move_m: move.edgeMove,
      edge_move_low_m: move.edgeMoveInterval?.low ?? null,
      edge_move_high_m: move.edgeMoveInterval?.high ?? null,
      edge_move_downstream_m: move.edgeMoveDownstream,
      edge_move_downstream_low_m: move.edgeMoveDownstreamInterval?.low ?? null,
      edge_move_downstream_high_m: move.edgeMoveDownstreamInterval?.high ?? null,
      edge_move_upstream_m: move.edgeMoveUpstream,
      edge_move_upstream_low_m: move.edgeMoveUpstreamInterval?.low ?? null,
      edge_move_upstream_high_m: move.edgeMoveUpstreamInterval?.high ?? null,
      families: move.families,
      reason: move.reason,
      median_m: move.median,
      searched_median_m: move.searchedMedian,
      p95_m: move.p95,
      max_m: move.max,
      retreat_median_m: move.retreatMedian,
      boundary_m: move.boundaryLength,
      boundary_points: move.boundaryPoints,
      searched_points: move.searchedPoints,
      newly_found_m2: move.newlyFoundArea,
    })),
    along_water: answer.alongWater.map(({ season, downstream, upstream }) => ({
      season,
      downstream_m: downstream,
      upstream_m: upstream,
    })),
    sectors: answer.sectors.map(sector => ({
      season: sector.season,
      azimuth_from: sector.azimuthFrom,
      azimuth_to: sector.azimuthTo,
      max_m: sector.max,
      p95_m: sector.p95,
    })),
    outliers: answer.outliers.filter(({ isAgeUnknown }) => !isAgeUnknown).map(outlierJson),
    far_age_unknown: answer.outliers.filter(({ isAgeUnknown }) => isAgeUnknown).map(outlierJson),
    first_seen: {
      cell_m: firstSeen.cell,
      places: firstSeen.places.map(({ longitude, latitude, year, speed, azimuth }) => ({
        lon: longitude,
        lat: latitude,
        year,
        speed_m_per_year: speed,
        azimuth,
      })),
    },
    not_seen: notSeen.map(({ season, patchSeason, patchId }) => ({
      season: patchSeason,
      patch_id: patchId,
      not_seen_in: season,
    })),
  }
}

function rateJson(rate: Rate) {
  const { value, low, high, n, r2, method, isHeadline, reason } = rate
  return { value, low, high, n, r2, method, headline: isHeadline, reason }
}

const outlierJson = (outlier: OutlierPatch) => ({
  season: outlier.season,
  patch_id: outlier.patchId,
  distance_m: outlier.distance,
  water_distance_m: outlier.waterDistance,
  route: outlier.route,
  ways: outlier.ways.map(({ route, distance }) => ({ route, distance_m: distance })),
  nearest_patch_id: outlier.nearestPatch,
  nearest_reports: outlier.nearestReports,
  dating_reports: outlier.datingReports,
})
