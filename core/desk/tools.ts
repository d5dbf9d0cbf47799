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

/** The frame is chosen from where the reports lie; far strays (blocked by the checks) do not stretch it. */
export async function prepareTools(
  brief: Brief,
  reports: readonly Pick<Report, 'longitude' | 'latitude'>[],
): Promise<GeoTools> {
  const engine = await createPolygonEngine()
  if (brief.workingCrs !== 'auto') return { frame: frameFromCrs(brief.workingCrs), engine }
  const coords = new Float64Array(reports.flatMap(report => [report.longitude, report.latitude]))
  return { frame: chooseWorkingFrame(coords), engine }
}
