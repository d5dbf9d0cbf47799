export type { ClearGround } from './clear-ground.ts'
export { describeOutline, type OutlineFacts, type SeasonFacts } from './describe-outline.ts'
export { type LinkInput, linkSeasons, type SeasonLinks, type Treatment } from './link-seasons.ts'
export { type MatchedArea, type MatchInput, matchEffort } from './matched-effort.ts'
export { type OutlineInput, outlinePatches, type SeasonOutline } from './outline-patches.ts'
export { type PatchProperties, patchProperties } from './patch-properties.ts'
export { type ParcelInput, type ParcelPlacement, placePatchesOnParcels } from './place-patches-on-parcels.ts'
export {
  type ChangeCell,
  type ChangeInput,
  measureChange,
  type PatchFlow,
  type SeasonChange,
} from './season-change.ts'
export { type SeasonTotals, sumSeason } from './season-totals.ts'
export type { DroppedGround } from './small-ground.ts'
export { type Stand, standsOfPatch } from './stands.ts'
