import { type PolygonEngine, polygonsMeeting } from '../geo/index.ts'
import type { MultiPolygon, SearchedGround, Task } from '../model/index.ts'
import { createExtent, type Extent } from './extent.ts'

/** Ground that the seasons before one had looked at. */
export interface KnownGround {
  /** Searched in any of them; null where nothing is known of searching. */
  readonly searched: Extent | null
  /** Searched or outlined in any of them: patches elsewhere are newly found. */
  readonly all: MultiPolygon
}

/** What was known before each season, oldest first; each grows from the one before. */
export async function gatherKnownGround(
  grounds: readonly (SearchedGround | undefined)[],
  outlined: readonly MultiPolygon[],
  engine: PolygonEngine,
  task: Task,
): Promise<KnownGround[]> {
  const known: KnownGround[] = []
  let last: KnownGround = { searched: null, all: [] }
  // Ground far from every outline is never asked about, and there is much of it.
  const places = outlined.flat()
  for (const [i, ground] of grounds.entries()) {
    await task.step(i / grounds.length, 'Ground searched before')
    known.push(last)
    const before = last.searched?.shape ?? []
    const searched =
      ground === undefined
        ? last.searched
        : createExtent(engine.union([before, polygonsMeeting(ground.planar, places)]))
    await task.step((i + 0.5) / grounds.length, 'Ground searched before')
    last = { searched, all: engine.union([last.all, polygonsMeeting(ground?.planar ?? [], places), outlined[i]!]) }
  }
  return known
}
