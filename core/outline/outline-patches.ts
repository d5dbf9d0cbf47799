import {
  createArcsClosing,
  createGeosClosing,
  createPlaneAreas,
  type PolygonEngine,
  type WorkingFrame,
} from '../geo/index.ts'
import type { Find, MultiPolygon, OutlineSettings, Patch, SeasonSightings, SingleFind, Task } from '../model/index.ts'
import { type ClearGround, indexClearGround } from './clear-ground.ts'
import { circlesOf, type Disc, discsOfFinds } from './discs.ts'
import { groupDiscs } from './group-discs.ts'
import { type JoinBreaks, prepareJoinBreaks } from './join-breaks.ts'
import { outlinePatch } from './patch-outline.ts'
import { type DroppedGround, warnOfDropped } from './small-ground.ts'

export interface OutlineInput {
  readonly sightings: SeasonSightings
  readonly settings: OutlineSettings
  readonly frame: WorkingFrame
  readonly engine: PolygonEngine
  readonly clearGround: readonly ClearGround[]
  /** Wide water and barriers, not joined across; null where there are none. Working frame. */
  readonly joinBreaks: MultiPolygon | null
  readonly isComputingIntervals: boolean
}

export interface SeasonOutline {
  /** By id: P01 has the largest gross area. */
  readonly patches: readonly Patch[]
  /** Finds below the minimum number of reports. */
  readonly singles: readonly SingleFind[]
  /** Report ids of finds whose position is worse than the accuracy limit: they make no area. */
  readonly dashed: readonly string[]
  /** What the rules on small ground left out. */
  readonly dropped: readonly DroppedGround[]
}

/** Segments a quarter circle where exact arcs do not close; a chord error of 0.05 m up to a radius of 41 m. */
const FALLBACK_SEGMENTS = 32

/**
 * The patches of one season. The order of the reports never matters.
 * Errors: a plain Error for a find without a finite place and radius.
 * Accuracy and cost: areas to 1e-7 of the exact definition; near n log n, times the draws where intervals are computed.
 * Warns: `outline-arcs-fallback`, `outline-part-without-find`, `outline-patch-cleared`, `outline-ground-dropped`.
 */
export async function outlinePatches(input: OutlineInput, task: Task): Promise<SeasonOutline> {
  const { sightings, settings } = input
  const closing = createArcsClosing(createGeosClosing(input.engine, FALLBACK_SEGMENTS), discs =>
    task.warn(
      'outline-arcs-fallback',
      `Season ${sightings.season}: the outline of a patch of ${discs} places did not close with exact arcs and was drawn by polygon operations; its area may be off by 0.05 %.`,
    ),
  )
  const counted = sightings.finds.filter(find => find.makesArea)
  const dashed = sightings.finds.filter(find => !find.makesArea).map(find => find.reportId)
  await task.step(0, 'Grouping finds into patches')
  const breaks = prepareJoinBreaks(input.joinBreaks)
  const groups = groupsOf(discsOfFinds(counted), settings, breaks)
  const findClearGround = indexClearGround(input.clearGround)
  const areaOf = createPlaneAreas(input.frame)
  const patches: Patch[] = []
  const singles: SingleFind[] = []
  const dropped: DroppedGround[] = []
  const onDropped = (ground: DroppedGround) => void dropped.push(ground)
  let done = 0
  let sinceStep = 0
  for (const discs of groups) {
    const part = task.part(done / counted.length, (done + discs.length) / counted.length)
    sinceStep += discs.length + PATCH_WORK
    if (sinceStep >= STEP_EVERY) {
      await part.step(0, 'Drawing outlines')
      sinceStep = 0
    }
    if (isPatch(discs, settings)) {
      const patch = await outlinePatch({ ...input, discs, closing, breaks, findClearGround, areaOf, onDropped }, part)
      if (patch !== null) patches.push(patch)
    } else singles.push(singleOf(discs, sightings.season))
    done += discs.length
  }
  warnOfCleared(input, groups, [...patches, ...singles, ...dropped], task)
  warnOfDropped(sightings.season, dropped, task)
  return { patches: numberPatches(patches), singles, dashed: dashed.sort(), dropped }
}

/** Work between two steps of the task, in discs; a patch costs as much as some discs whatever it holds. */
const STEP_EVERY = 2000
const PATCH_WORK = 20

/** Discs by the group in which they hang together, groups in the order of their first disc. */
export function groupsOf(discs: readonly Disc[], settings: OutlineSettings, breaks: JoinBreaks | null): Disc[][] {
  const numbers = groupDiscs(circlesOf(discs), settings.join / 2, breaks)
  const groups: Disc[][] = []
  for (const [i, disc] of discs.entries()) {
    const group = groups[numbers[i]!]
    if (group) group.push(disc)
    else groups[numbers[i]!] = [disc]
  }
  return groups
}

const findsOf = (discs: readonly Disc[]): Find[] => discs.flatMap(disc => disc.finds)

/** Whether a group has the minimum of reports, fewer being asked where one of them is confirmed. */
export function isPatch(discs: readonly Disc[], settings: OutlineSettings): boolean {
  const finds = findsOf(discs)
  const hasConfirmed = finds.some(find => find.isConfirmed)
  return finds.length >= (hasConfirmed ? settings.minReports : settings.minReportsUnconfirmed)
}

function singleOf(discs: readonly Disc[], season: string): SingleFind {
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length
  return {
    season,
    reportIds: findsOf(discs)
      .map(find => find.reportId)
      .sort(),
    x: mean(discs.map(disc => disc.x)),
    y: mean(discs.map(disc => disc.y)),
  }
}

function numberPatches(patches: readonly Patch[]): Patch[] {
  const digits = Math.max(2, String(patches.length).length)
  return [...patches]
    .sort((a, b) => b.grossArea - a.grossArea || compareText(a.reportIds[0]!, b.reportIds[0]!))
    .map((patch, i) => ({ ...patch, id: `P${String(i + 1).padStart(digits, '0')}` }))
}

const compareText = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0)

/** A patch that was searched and found clear all over has no outline any more; that is said, not passed over. */
function warnOfCleared(
  { sightings }: OutlineInput,
  groups: readonly (readonly Disc[])[],
  made: readonly { readonly reportIds: readonly string[] }[],
  task: Task,
): void {
  const placed = new Set(made.flatMap(({ reportIds }) => reportIds))
  for (const discs of groups) {
    const ids = findsOf(discs).map(find => find.reportId)
    if (ids.some(id => placed.has(id))) continue
    task.warn(
      'outline-patch-cleared',
      `Season ${sightings.season}: the ground of ${ids.length} reports (${ids.slice(0, 5).join(', ')}${ids.length > 5 ? ', ...' : ''}) was all searched later and found clear; it makes no patch.`,
    )
  }
}
