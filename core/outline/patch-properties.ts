import type { OutlierPatch, Patch, PatchHistory } from '../model/index.ts'

/** Attributes of a patch as files carry them; figures unrounded. */
export interface PatchProperties {
  readonly patch_id: string
  readonly season: string
  readonly reports: number
  readonly report_ids: readonly string[]
  readonly parts: number
  readonly gross_area_m2: number
  readonly infested_area_m2: number
  /** Null where no cover is known. */
  readonly net_canopy_m2: number | null
  readonly cover_known_share: number
  readonly measured_share: number
  readonly default_share: number
  readonly infill_share: number
  /** Null where not computed. */
  readonly gross_low_m2: number | null
  readonly gross_high_m2: number | null
  readonly infested_low_m2: number | null
  readonly infested_high_m2: number | null
  readonly first_seen: string
  readonly last_seen: string
  /** Null where patches were not linked between seasons. */
  readonly status: string | null
  /** New on ground searched before, farther off than stem growth and position errors explain. */
  readonly outlier: boolean
  /** So far off on ground that nobody had searched before: its age is unknown. */
  readonly far_age_unknown: boolean
  readonly treated: boolean
  readonly linked_from: readonly string[]
  readonly confirmed: boolean
}

export function patchProperties(patch: Patch, history: PatchHistory | null, far: OutlierPatch | null): PatchProperties {
  return {
    patch_id: patch.id,
    season: patch.season,
    reports: patch.reportIds.length,
    report_ids: patch.reportIds,
    parts: patch.outline.length,
    gross_area_m2: patch.grossArea,
    infested_area_m2: patch.infestedArea,
    net_canopy_m2: patch.netCanopy,
    cover_known_share: patch.coverKnownShare,
    measured_share: patch.measuredShare,
    default_share: patch.defaultShare,
    infill_share: patch.infillShare,
    gross_low_m2: patch.grossInterval?.low ?? null,
    gross_high_m2: patch.grossInterval?.high ?? null,
    infested_low_m2: patch.infestedInterval?.low ?? null,
    infested_high_m2: patch.infestedInterval?.high ?? null,
    first_seen: patch.firstSeen,
    last_seen: patch.lastSeen,
    status: history?.status ?? null,
    outlier: far !== null && !far.isAgeUnknown,
    far_age_unknown: far?.isAgeUnknown ?? false,
    treated: history?.isTreated ?? false,
    linked_from: history?.linkedFrom ?? [],
    confirmed: patch.isConfirmed,
  }
}
