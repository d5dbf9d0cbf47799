import {
  chooseWorkingFrame,
  createPolygonEngine,
  frameFromCrs,
  type PolygonEngine,
  type WorkingFrame,
} from '../geo/index.ts'
import type { Brief, Report } from '../model/index.ts'

/** What geometry is worked with: one frame for the data set, one polygon engine. */
export interface GeoTools {
  readonly frame: WorkingFrame
  readonly engine: PolygonEngine
}

/** What is placed in the frame: a position and, of a report, the size that it states. */
export type PlacedThing = Pick<Report, 'longitude' | 'latitude'> & Partial<Pick<Report, 'size'>>

/**
 * The frame is the brief's, else chosen from where the reports lie; far strays (blocked by the checks) do not stretch it.
 * Errors: InputError `frame-too-wide` where lengths would be off by over 1/1000 anywhere on the reports or on the discs of
 * their sizes, `frame-no-data` where nothing is placed and the frame is to be chosen.
 */
export async function prepareTools(brief: Brief, things: readonly PlacedThing[]): Promise<GeoTools> {
  const engine = await createPolygonEngine()
  const ground = Float64Array.from(things.flatMap(thing => [thing.longitude, thing.latitude, ...discOf(thing)]))
  if (brief.workingCrs !== 'auto') {
    return { frame: frameFromCrs(brief.workingCrs, ground.length === 0 ? undefined : ground), engine }
  }
  const chosen = chooseWorkingFrame(
    Float64Array.from(things.flatMap(({ longitude, latitude }) => [longitude, latitude])),
  )
  // Chosen by positions, held against the discs too: one find must not move the frame, nor reach beyond it.
  const { scaleError } = frameFromCrs(chosen.crs, ground)
  return { frame: { ...chosen, scaleError }, engine }
}

/** Metres in a degree of latitude, and of longitude on the equator, rounded down: a disc comes out no smaller than it is. */
const METRES_A_DEGREE = 110_500

/** The ends of a stated size's disc to the four sides, degrees. */
function discOf({ longitude, latitude, size }: PlacedThing): number[] {
  if (size === undefined || size === null) return []
  const reach = Math.sqrt(size / Math.PI) / METRES_A_DEGREE
  const [south, north] = [Math.max(-90, latitude - reach), Math.min(90, latitude + reach)]
  const aside = Math.min(179, reach / Math.max(1e-6, Math.cos((latitude * Math.PI) / 180)))
  return [longitude - aside, latitude, longitude + aside, latitude, longitude, south, longitude, north]
}
