import type { Desk, DeskFailure, MapLayerId } from '../../core/desk-view.ts'

/** The desk's calls that the window makes of its worker, and the few of the worker itself. */
export type DeskCall = keyof Desk

/** Page to worker. */
export type ToWorker =
  | { readonly kind: 'start'; readonly version: string; readonly locale: string; readonly assets: AssetAddresses }
  | { readonly kind: 'call'; readonly id: number; readonly call: DeskCall; readonly args: readonly unknown[] }
  | { readonly kind: 'tile'; readonly id: number; readonly z: number; readonly x: number; readonly y: number }
  | { readonly kind: 'cancel' }
  | { readonly kind: 'file'; readonly id: number; readonly bytes: Uint8Array }
  | { readonly kind: 'no-file'; readonly id: number; readonly reason: string }

/** Worker to page. */
export type FromWorker =
  | { readonly kind: 'started' }
  | { readonly kind: 'value'; readonly id: number; readonly value: unknown }
  | { readonly kind: 'failure'; readonly id: number; readonly failure: DeskFailure }
  | { readonly kind: 'progress'; readonly fraction: number; readonly note: string }
  | { readonly kind: 'read'; readonly id: number; readonly path: string }

/** Where the worker fetches what core is handed as bytes. */
export interface AssetAddresses {
  readonly sqlWasm: string
  readonly fonts: Readonly<Record<string, string>>
}

/** What `mapLayers` comes to on the page: the columns stay in the worker, only tiles cross. */
export interface MapContents {
  readonly version: number
  readonly layers: readonly {
    readonly id: MapLayerId
    readonly features: number
    readonly sources: readonly string[]
  }[]
}

/** Deepest tiles that are cut; nearer views magnify them (0.12 m a tile unit at 36 degrees of latitude). */
export const DEEPEST_TILES = 16
