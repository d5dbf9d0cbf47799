import type { MapLayerId, QuestionView } from '../../core/desk-view.ts'

/** Whether the legend has a row for a layer's features of a season; of any season when it is null. */
export const isDrawn = (view: QuestionView | null, layer: MapLayerId, season: string | null): boolean =>
  view?.legend.some(
    row =>
      row.layer === layer &&
      // A row of several seasons is of signs alone, as of outliers.
      row.seasons === undefined &&
      (season === null || row.season === null || row.season === season),
  ) === true
