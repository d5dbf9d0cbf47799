import type { Brief, Report } from '../model/index.ts'
import type { Gathered } from './gather.ts'
import type { SeasonRun } from './run-season.ts'
import type { Vetted } from './vet-reports.ts'

/** What is open on the desk; replaced whole when anything of it changes. */
export interface DeskState {
  readonly brief: Brief
  readonly gathered: Gathered
  readonly vetted: Vetted
  readonly run: SeasonRun | null
  readonly runId: string
  readonly version: number
  readonly warnings: readonly { readonly code: string; readonly message: string }[]
  /** A setting changed since the run. */
  readonly isStale: boolean
  report(id: string): Report | undefined
  /** Longitude and latitude of a report. */
  place(id: string): readonly [number, number]
}
