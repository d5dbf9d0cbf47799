import type { PolygonEngine, WorkingFrame } from '../geo/index.ts'
import type { MultiPolygon, OutlineSettings, Season, SeasonSightings, Task } from '../model/index.ts'
import { outlinePatches } from '../outline/index.ts'

export interface WholeExtentInput {
  readonly seasons: readonly Season[]
  readonly sightingsOf: (season: string) => SeasonSightings
  readonly settings: OutlineSettings
  readonly frame: WorkingFrame
  readonly engine: PolygonEngine
  /** Whether anything could be cut out of outlines at all; without, the patches' own outlines are the extents. */
  readonly hasCuts: boolean
}

/**
 * The union of each season's patches as they are before ground is cut out of them (searched clear, water not joined
 * across): what a boundary moved from. Ground that was cleared later in its season had been infested, so it counts.
 * Absent: undefined where nothing could be cut out.
 */
export async function outlineWholeExtents(input: WholeExtentInput, task: Task): Promise<MultiPolygon[] | undefined> {
  const { seasons, settings, frame, engine } = input
  if (!input.hasCuts) return undefined
  const extents: MultiPolygon[] = []
  for (const [i, season] of seasons.entries()) {
    const { patches } = await outlinePatches(
      {
        sightings: input.sightingsOf(season.id),
        settings,
        frame,
        engine,
        clearGround: [],
        joinBreaks: null,
        isComputingIntervals: false,
      },
      withoutWarnings(task.part(i / seasons.length, (i + 1) / seasons.length)),
    )
    extents.push(patches.length === 0 ? [] : engine.union(patches.map(patch => patch.planar)))
  }
  return extents
}

/** The same outlines were drawn once before, and what is to be warned of was said then. */
const withoutWarnings = (task: Task): Task => ({
  step: (fraction, note) => task.step(fraction, note),
  warn: () => undefined,
  part: (from, to) => withoutWarnings(task.part(from, to)),
})
