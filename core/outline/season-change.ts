import { boxOf, createBoxIndex, createPlaneAreas, type PolygonEngine, type WorkingFrame } from '../geo/index.ts'
import type { MultiPolygon, Patch, PatchHistory, PatchStatus, SquareMetres } from '../model/index.ts'

export interface ChangeInput {
  /** Patches and histories of two seasons that follow each other. */
  readonly older: readonly Patch[]
  readonly newer: readonly Patch[]
  readonly histories: readonly PatchHistory[]
  readonly frame: WorkingFrame
  readonly engine: PolygonEngine
}

/** Ground that an older and a newer patch share. */
export interface PatchFlow {
  readonly from: string
  readonly to: string
  readonly area: SquareMetres
}

/** Patches that went from one status to another between two seasons, with their gross areas in each. */
export interface ChangeCell {
  /** Status in the older season; `none` for a newer patch without a predecessor. */
  readonly from: PatchStatus | 'none'
  /** Status in the newer season; `not_seen` for an older patch without a successor. */
  readonly to: PatchStatus | 'not_seen'
  /** Links from an older patch to a newer one; for `none` and `not_seen` patches. */
  readonly count: number
  /** Gross area of the patches of each season in the cell, each counted once. */
  readonly olderArea: number
  readonly newerArea: number
}

/** What changed between two seasons: gained + kept is the newer gross area, lost + kept the older one. */
export interface SeasonChange {
  /** Working frame. */
  readonly gained: MultiPolygon
  readonly lost: MultiPolygon
  readonly gainedArea: SquareMetres
  readonly lostArea: SquareMetres
  readonly keptArea: SquareMetres
  readonly flows: readonly PatchFlow[]
  readonly matrix: readonly ChangeCell[]
}

const NOWHERE = [Number.NaN, Number.NaN, Number.NaN, Number.NaN] as const
/** Ground shared by less than this is a touch, square metres. */
const LEAST_OVERLAP = 1e-3

/**
 * The change between two seasons: ground gained and lost, the ground each two patches share, and the matrix of statuses.
 * Areas are ellipsoidal. Order: flows and cells by their names.
 */
export function measureChange({ older, newer, histories, frame, engine }: ChangeInput): SeasonChange {
  const areaOf = createPlaneAreas(frame)
  const [before, after] = [engine.union(older.map(p => p.planar)), engine.union(newer.map(p => p.planar))]
  const kept = areaOf(engine.intersection(before, after))
  const [gained, lost] = [engine.difference(after, before), engine.difference(before, after)]
  const flows: PatchFlow[] = []
  const index = createBoxIndex(Float64Array.from(older.flatMap(({ planar }) => boxOf(planar) ?? NOWHERE)))
  for (const to of newer) {
    for (const i of index.search(boxOf(to.planar) ?? NOWHERE)) {
      const from = older[i]!
      const area = areaOf(engine.intersection(from.planar, to.planar))
      if (area > LEAST_OVERLAP) flows.push({ from: from.id, to: to.id, area })
    }
  }
  flows.sort((a, b) => compareText(a.from, b.from) || compareText(a.to, b.to))
  return {
    gained,
    lost,
    gainedArea: areaOf(gained),
    lostArea: areaOf(lost),
    keptArea: kept,
    flows,
    matrix: matrixOf(older, newer, histories, flows),
  }
}

interface Cell {
  readonly from: ChangeCell['from']
  readonly to: ChangeCell['to']
  count: number
  readonly older: Set<Patch>
  readonly newer: Set<Patch>
}

function matrixOf(
  older: readonly Patch[],
  newer: readonly Patch[],
  histories: readonly PatchHistory[],
  flows: readonly PatchFlow[],
): ChangeCell[] {
  const statuses = new Map(histories.map(({ season, patchId, status }) => [`${season}/${patchId}`, status]))
  const statusOf = (patch: Patch): PatchStatus => statuses.get(`${patch.season}/${patch.id}`) ?? 'first'
  const cells = new Map<string, Cell>()
  const add = (from: Patch | null, to: Patch | null): void => {
    const names = [from ? statusOf(from) : 'none', to ? statusOf(to) : 'not_seen'] as const
    const key = names.join(' ')
    const cell = cells.get(key) ?? { from: names[0], to: names[1], count: 0, older: new Set(), newer: new Set() }
    cells.set(key, cell)
    cell.count++
    if (from) cell.older.add(from)
    if (to) cell.newer.add(to)
  }
  const [olderById, newerById] = [byId(older), byId(newer)]
  for (const flow of flows) add(olderById.get(flow.from)!, newerById.get(flow.to)!)
  const [left, reached] = [new Set(flows.map(({ from }) => from)), new Set(flows.map(({ to }) => to))]
  for (const patch of older) if (!left.has(patch.id)) add(patch, null)
  for (const patch of newer) if (!reached.has(patch.id)) add(null, patch)
  return [...cells.entries()]
    .sort((a, b) => compareText(a[0], b[0]))
    .map(([, { from, to, count, older: olds, newer: news }]) => ({
      from,
      to,
      count,
      olderArea: sumOf(olds),
      newerArea: sumOf(news),
    }))
}

const byId = (patches: readonly Patch[]): Map<string, Patch> => new Map(patches.map(patch => [patch.id, patch]))

const sumOf = (patches: ReadonlySet<Patch>): number => [...patches].reduce((sum, patch) => sum + patch.grossArea, 0)

const compareText = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0)
