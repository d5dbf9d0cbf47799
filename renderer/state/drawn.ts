import type { MapLayerId, QuestionView } from '../../core/desk-view.ts'

/** Whether the legend has a row for a layer's features of a season; of any season when it is null. */
export const isDrawn = (view: QuestionView | null, layer: MapLayerId, season: string | null): boolean =>
  view?.legend.some(
    row =>
      row.layer === layer &&
      (season === null || row.season === null || row.season === season || row.seasons?.includes(season) === true),
  ) === true
