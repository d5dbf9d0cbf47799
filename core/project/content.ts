import type { Layer } from '../geo/index.ts'
import type { PlainDate } from '../model/index.ts'

/** Everything that a project file holds. */
export interface ProjectContent {
  /** Newest date of the data; stands as the date of change in the file, so that the same content gives the same bytes. */
  readonly dataDate: PlainDate
  readonly layers: readonly ProjectLayer[]
  readonly documents: readonly ProjectDocument[]
  readonly runs: readonly ProjectRun[]
}

/** A feature or attribute table. */
export interface ProjectLayer {
  /** In WGS 84 degrees (`EPSG:4326`) where it has geometry. */
  readonly layer: Layer
  readonly role: 'input' | 'result'
  /** What it is, in a few words, for people; made unique in the file. */
  readonly identifier: string
  readonly description: string
  /** The run that made it; null for inputs. */
  readonly runId: string | null
}

/** A JSON text under a name: the brief, settings, answers. */
export interface ProjectDocument {
  readonly name: string
  readonly json: string
}

/** What has to be known to repeat a run to the same bytes. */
export interface ProjectRun {
  readonly id: string
  /** JSON. */
  readonly parameters: string
  /** Files as named in the brief, with the SHA-256 digest of their bytes in hexadecimal. */
  readonly inputs: readonly { readonly name: string; readonly digest: string }[]
  readonly softwareVersion: string
  readonly warnings: readonly string[]
  readonly dataDate: PlainDate
}
