import { isInside, toPlanePolygons } from '../geo/index.ts'
import type { Audience } from '../model/brief.ts'
import type { MultiPolygon } from '../model/geometry.ts'
import { InputError } from '../model/problem.ts'
import type { Consent } from '../model/report.ts'
import type { SheetCell, SheetContent, SheetFind, SheetPatch, SheetSeason } from '../model/sheet-content.ts'
import { coarsestOf, levelFor } from './audience.ts'
import { cellsOf, LEAST_CELL } from './cells.ts'
import { cutToOwnLand } from './own-land.ts'
import type { CuttingTools, PrivacyFacts } from './privacy-facts.ts'
import { lookPhrase, withLookRows } from './share-words.ts'

/** What a sheet for others than the crew says about what it leaves out. */
const KEPT_BACK = 'Places are shown as closely as those who reported them allow; some are not shown.'

/**
 * The content of a sheet as an audience may see it: what is too exact is taken out of the data, not hidden on the page.
 * Totals of the district stay; identifiers of patches and reports do not.
 * Errors: InputError for `owner` without a name.
 */
export function cutSheetContent(
  content: SheetContent,
  audience: Audience,
  facts: PrivacyFacts,
  tools: CuttingTools,
): SheetContent {
  if (audience === 'crew') return { ...content, audience }
  const told = { ...content, credits: [KEPT_BACK, ...content.credits] }
  if (audience === 'partner') return cutForPartner(told, facts, tools)
  if (audience === 'public') return cutForPublic(told, facts, tools)
  if (facts.owner === undefined) {
    throw new InputError({
      code: 'share-no-owner',
      field: 'owner',
      reason: 'a sheet for an owner needs to know whose land it shows',
      remedy: 'Name the owner in the request of the sheet.',
    })
  }
  return cutToOwnLand(told, facts.owner, facts, tools)
}

const levelOf = (reportIds: readonly string[], audience: Audience, facts: PrivacyFacts): Consent =>
  levelFor(coarsestOf(reportIds.map(id => facts.reports.get(id)?.consent ?? 'withheld')), audience)

/** Places as consent allows; the rest by cell. No owners, no marks on parcels, no move of a family whose patch is not shown. */
function cutForPartner(content: SheetContent, facts: PrivacyFacts, tools: CuttingTools): SheetContent {
  const isExact = ({ reportIds }: { reportIds: readonly string[] }) => levelOf(reportIds, 'partner', facts) === 'exact'
  const patches = content.patches.filter(isExact)
  const shown = patches.filter(patch => patch.season === 'shown')
  return {
    ...content,
    audience: 'partner',
    patches: patches.map(patch => ({ ...withoutReports(patch), id: '' })),
    finds: content.finds.filter(isExact).map(withoutReports),
    dashedFinds: content.dashedFinds.filter(isExact).map(withoutReports),
    cells: cellsFor(content, 'partner', facts, tools, thing => !isExact(thing)),
    arrows: content.arrows.filter(({ longitude, latitude }) =>
      shown.some(patch => isInside(patch.outline, longitude, latitude)),
    ),
    parcels: content.parcels.map(({ outline }) => ({ id: '', outline, mark: 'none', owner: null })),
  }
}

/** Counts by cell, streams that have a name, and totals; nothing of anybody's land. */
function cutForPublic(content: SheetContent, facts: PrivacyFacts, tools: CuttingTools): SheetContent {
  const cellSize = facts.cellSize ?? LEAST_CELL
  const reaches = content.reaches.filter(reach => reach.name !== null)
  return {
    ...content,
    audience: 'public',
    patches: [],
    finds: [],
    dashedFinds: [],
    cells: cellsFor(content, 'public', facts, tools, () => true),
    searchedClear: [],
    arrows: [],
    reaches,
    parcels: [],
    looking: lookPhrase(reaches, ' of bank'),
    table: withLookRows(content.table, reaches),
    effort: content.effort.filter(grid => grid.cellSize >= cellSize),
  }
}

const withoutReports = <T extends SheetPatch | SheetFind>(thing: T): T => ({ ...thing, reportIds: [] })

/** Cells over the reports of what may not be shown exactly, on the programme's ground; withheld ones are in no count. */
function cellsFor(
  content: SheetContent,
  audience: Audience,
  facts: PrivacyFacts,
  { frame, engine }: CuttingTools,
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
  const land = content.boundary === null ? null : toPlanePolygons(content.boundary, frame)
  const { cells } = cellsOf(groups, frame, {
    ...(facts.cellSize === undefined ? {} : { size: facts.cellSize }),
    ...(facts.holders === undefined ? {} : { holders: facts.holders }),
    ...(land === null ? {} : { clip: (shape: MultiPolygon) => engine.intersection(shape, land) }),
  })
  return cells.map(({ outline, reports: [compared, shown] }) => ({
    outline,
    compared: compared ?? null,
    shown: shown ?? null,
  }))
}
