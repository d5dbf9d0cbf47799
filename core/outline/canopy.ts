import { CircleGrid, type ClosingEngine, measureLayers, type PolygonEngine, planarArea } from '../geo/index.ts'
import type { Find, MultiPolygon } from '../model/index.ts'
import { circlesOf, compareNewest, type Disc } from './discs.ts'

/** Ground under known cover, working frame, square metres. */
export interface Canopy {
  readonly knownArea: number
  /** Cover midpoint times the ground it counts on, summed. */
  readonly netArea: number
}

interface CoveredDisc {
  readonly disc: Disc
  readonly find: Find
  readonly cover: number
}

/**
 * Net canopy of the discs of a patch: where discs overlap, the newest report with a known cover counts.
 * `cut` is ground that counts no more. Absent: reports without cover say nothing here.
 * Cost: a look at its neighbours a disc; where ground is cut out, a union of them a disc.
 */
export function measureCanopy(
  discs: readonly Disc[],
  cut: MultiPolygon,
  { closing, engine }: { closing: ClosingEngine; engine: PolygonEngine },
): Canopy {
  const covered = discs
    .map(coveredDisc)
    .filter(entry => entry !== null)
    .sort((a, b) => compareNewest(a.find, b.find))
  if (cut.length === 0) {
    const { union, weighted } = measureLayers(
      circlesOf(covered.map(({ disc }) => disc)),
      Float64Array.from(covered, ({ cover }) => cover),
    )
    return { knownArea: union, netArea: weighted }
  }
  return measureCutCanopy(covered, cut, closing, engine)
}

function measureCutCanopy(
  covered: readonly CoveredDisc[],
  cut: MultiPolygon,
  closing: ClosingEngine,
  engine: PolygonEngine,
): Canopy {
  const areaOf = (members: readonly Disc[]): number => {
    if (members.length === 0) return 0
    const shape = closing.close(circlesOf(members), { half: 0, minimumHole: 0 }).shape
    return planarArea(engine.difference(shape, cut))
  }
  const grid = new CircleGrid()
  grid.fill(circlesOf(covered.map(({ disc }) => disc)))
  let netArea = 0
  for (const [k, { disc, cover }] of covered.entries()) {
    const total = grid.collect(k)
    const newer = [...grid.found.subarray(0, total)]
      .filter(j => j < k)
      .sort((a, b) => a - b)
      .map(j => covered[j]!.disc)
    netArea += cover * Math.max(0, areaOf([...newer, disc]) - areaOf(newer))
  }
  return { knownArea: areaOf(covered.map(({ disc }) => disc)), netArea }
}

/** The disc with its newest report whose cover is known. */
function coveredDisc(disc: Disc): CoveredDisc | null {
  const find = disc.finds.find(({ cover }) => cover !== null)
  return find === undefined || find.cover === null ? null : { disc, find, cover: find.cover }
}
