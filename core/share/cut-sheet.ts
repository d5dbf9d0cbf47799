import { isInside, type WorkingFrame } from '../geo/index.ts'
import type { Audience } from '../model/brief.ts'
import { InputError } from '../model/problem.ts'
import type { Consent } from '../model/report.ts'
import type { SheetCell, SheetContent, SheetFind, SheetPatch, SheetSeason } from '../model/sheet-content.ts'
import { coarsestOf, levelFor } from './audience.ts'
import { cellsOf, LEAST_CELL } from './cells.ts'
import { cutToOwnLand } from './own-land.ts'
import type { CuttingTools, PrivacyFacts } from './privacy-facts.ts'

/**
 * The content of a sheet as an audience may see it: what is too exact is taken out of the data, not hidden on the page.
 * Headline, table, chart and phrases are totals and stay; the caller writes them without the names of patches or owners.
 * Errors: InputError for `owner` without a name.
 */
export function cutSheetContent(
  content: SheetContent,
  audience: Audience,
  facts: PrivacyFacts,
  tools: CuttingTools,
): SheetContent {
  if (audience === 'crew') return { ...content, audience }
  if (audience === 'owner') {
    if (facts.owner === undefined) {
      throw new InputError({
        code: 'share-no-owner',
        field: 'owner',
        reason: 'a sheet for an owner needs to know whose land it shows',
        remedy: 'Name the owner in the request of the sheet.',
      })
    }
    return cutToOwnLand(content, facts.owner, facts, tools)
  }
  return audience === 'partner' ? cutForPartner(content, facts, tools.frame) : cutForPublic(content, facts, tools.frame)
}

const levelOf = (reportIds: readonly string[], audience: Audience, facts: PrivacyFacts): Consent =>
  levelFor(coarsestOf(reportIds.map(id => facts.reports.get(id)?.consent ?? 'withheld')), audience)

/** Places as consent allows; the rest by cell. No owners, no marks on parcels, no move of a family whose patch is not shown. */
function cutForPartner(content: SheetContent, facts: PrivacyFacts, frame: WorkingFrame): SheetContent {
  const isExact = ({ reportIds }: { reportIds: readonly string[] }) => levelOf(reportIds, 'partner', facts) === 'exact'
  const patches = content.patches.filter(isExact)
  const shown = patches.filter(patch => patch.season === 'shown')
  return {
    ...content,
    audience: 'partner',
    patches: patches.map(withoutReports),
    finds: content.finds.filter(isExact).map(withoutReports),
    dashedFinds: content.dashedFinds.filter(isExact).map(withoutReports),
    cells: cellsFor(content, 'partner', facts, frame, thing => !isExact(thing)),
    arrows: content.arrows.filter(({ longitude, latitude }) =>
      shown.some(patch => isInside(patch.outline, longitude, latitude)),
    ),
    parcels: content.parcels.map(parcel => ({ ...parcel, mark: 'none', owner: null })),
  }
}

/** Counts by cell, streams that have a name, and totals; nothing of anybody's land. */
function cutForPublic(content: SheetContent, facts: PrivacyFacts, frame: WorkingFrame): SheetContent {
  const cellSize = facts.cellSize ?? LEAST_CELL
  return {
    ...content,
    audience: 'public',
    patches: [],
    finds: [],
    dashedFinds: [],
    cells: cellsFor(content, 'public', facts, frame, () => true),
    searchedClear: [],
    arrows: [],
    reaches: content.reaches.filter(reach => reach.name !== null),
    parcels: [],
    effort: content.effort.filter(grid => grid.cellSize >= cellSize),
  }
}

const withoutReports = <T extends SheetPatch | SheetFind>(thing: T): T => ({ ...thing, reportIds: [] })

/** Cells over the reports of what may not be shown exactly; withheld ones are in no count. */
function cellsFor(
  content: SheetContent,
  audience: Audience,
  facts: PrivacyFacts,
  frame: WorkingFrame,
  isCoarse: (thing: { readonly reportIds: readonly string[] }) => boolean,
): SheetCell[] {
  const seasons = ['compared', 'shown'] as const satisfies readonly SheetSeason[]
  const things = [...content.patches, ...content.finds, ...content.dashedFinds].filter(isCoarse)
  const groups = seasons.map(season => {
    const ids = new Set(things.filter(one => one.season === season).flatMap(one => one.reportIds))
    return [...ids].sort().flatMap(id => {
      const report = facts.reports.get(id)
      return report === undefined || levelFor(report.consent, audience) === 'withheld' ? [] : [report]
    })
  })
  const { cells } = cellsOf(groups, frame, facts.cellSize, facts.holders)
  return seasons.flatMap((season, group) =>
    cells.flatMap(({ outline, reports }) => {
      const count = reports[group] ?? null
      return count === null ? [] : [{ season, outline, reports: count }]
    }),
  )
}
