import type { Patch, PatchHistory } from '../model/index.ts'

/** What histories say of patches: their own entry, and whether they or all they grew from were newly found. */
export interface Lineage {
  history(patch: Patch): PatchHistory | undefined
  /** First seen on ground that no earlier season had searched: age unknown, never called advance. */
  isAgeUnknown(patch: Patch): boolean
}

/**
 * Follows patches through the seasons, oldest first. A patch without a history is of known age.
 * Where nothing is known of searching, every new patch would be newly found and nothing be left to measure: the outlines
 * are then taken as they are.
 */
export function traceLineage(
  seasons: readonly string[],
  histories: readonly PatchHistory[],
  isSearchingKnown: boolean,
): Lineage {
  const entries = new Map(histories.map(entry => [key(entry.season, entry.patchId), entry]))
  const unknown = new Set<string>()
  seasons.forEach((season, i) => {
    for (const entry of histories) {
      if (entry.season !== season) continue
      const before = seasons[i - 1]
      const isInherited =
        before !== undefined &&
        entry.linkedFrom.length > 0 &&
        entry.linkedFrom.every(id => unknown.has(key(before, id)))
      if (entry.status === 'newly_found' || isInherited) unknown.add(key(season, entry.patchId))
    }
  })
  return {
    history: patch => entries.get(key(patch.season, patch.id)),
    isAgeUnknown: patch => isSearchingKnown && unknown.has(key(patch.season, patch.id)),
  }
}

const key = (season: string, patchId: string): string => JSON.stringify([season, patchId])
