import type { PolygonEngine, WorkingFrame } from '../geo/index.ts'
import type { Consent } from '../model/report.ts'
import type { OwnedPoint } from './cells.ts'

/** What the levels of a sheet rest on: each report's place, the owner of its ground and its consent. */
export interface SharedReport extends OwnedPoint {
  readonly consent: Consent
}

export interface PrivacyFacts {
  /** By report id. A find or patch whose reports are not all here is treated as withheld. */
  readonly reports: ReadonlyMap<string, SharedReport>
  /** Places of parcels with their owners, for the count of owners in a cell; absent: the owners of the reports' ground. */
  readonly holders?: readonly OwnedPoint[]
  /** Edge of a cell, metres, 1000 or more. */
  readonly cellSize?: number
  /** Whose land, for the audience `owner`. */
  readonly owner?: string
}

/** What cutting works with. */
export interface CuttingTools {
  readonly frame: WorkingFrame
  readonly engine: PolygonEngine
}
