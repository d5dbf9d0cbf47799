import type { Desk, DeskFailure } from '../../core/desk-view.ts'
import { describeProblem } from '../../core/model/index.ts'
import type { AssetAddresses, DeskCall, FromWorker, MapContents, ToWorker } from './messages.ts'

/** A call of the desk that did not happen, as the page catches it. */
export class DeskError extends Error {
  readonly failure: DeskFailure
  constructor(failure: DeskFailure) {
    super(describeProblem(failure.problem))
    this.failure = failure
  }
}

/** The desk as the page sees it: the same calls, all of them waiting for the worker. */
export interface DeskClient {
  call<K extends Exclude<DeskCall, 'mapLayers'>>(
    call: K,
    ...args: Parameters<Desk[K]>
  ): Promise<Awaited<ReturnType<Desk[K]>>>
  /** Makes the tiles of the layers as they now stand. */
  takeMapLayers(): Promise<MapContents>
  tile(z: number, x: number, y: number): Promise<Uint8Array>
  cancel(): void
}

export interface DeskClientOptions {
  readonly version: string
  readonly locale: string
  readonly assets: AssetAddresses
  readFile(path: string): Promise<Uint8Array>
  onProgress(fraction: number, note: string): void
}

interface Waiting {
  resolve(value: unknown): void
  reject(error: Error): void
}

/** Starts the worker; settles once the desk in it stands. */
export function startDesk(options: DeskClientOptions): Promise<DeskClient> {
  const worker = new Worker(new URL('./desk-worker.ts', import.meta.url), { type: 'module', name: 'desk' })
  const waiting = new Map<number, Waiting>()
  const counter = { last: 0 }
  const post = (message: ToWorker, transfer: Transferable[] = []) => worker.postMessage(message, transfer)
  const ask = (build: (id: number) => ToWorker): Promise<unknown> =>
    new Promise((resolve, reject) => {
      const id = ++counter.last
      waiting.set(id, { resolve, reject })
      post(build(id))
    })
  const serveFile = async (id: number, path: string) => {
    try {
      const bytes = await options.readFile(path)
      post({ kind: 'file', id, bytes }, [bytes.buffer as ArrayBuffer])
    } catch (error) {
      post({ kind: 'no-file', id, reason: `${path}: ${error instanceof Error ? error.message : String(error)}` })
    }
  }
  const client: DeskClient = {
    call: (call, ...args) => ask(id => ({ kind: 'call', id, call, args })) as never,
    takeMapLayers: () => ask(id => ({ kind: 'call', id, call: 'mapLayers', args: [] })) as Promise<MapContents>,
    tile: (z, x, y) => ask(id => ({ kind: 'tile', id, z, x, y })) as Promise<Uint8Array>,
    cancel: () => post({ kind: 'cancel' }),
  }
  return new Promise((resolve, reject) => {
    const settle = (id: number) => {
      const found = waiting.get(id)
      waiting.delete(id)
      return found
    }
    worker.onerror = event => reject(new Error(event.message || 'The desk could not be started.'))
    worker.onmessage = (event: MessageEvent<FromWorker>) => {
      const message = event.data
      if (message.kind === 'started') resolve(client)
      else if (message.kind === 'progress') options.onProgress(message.fraction, message.note)
      else if (message.kind === 'read') void serveFile(message.id, message.path)
      else if (message.kind === 'value') settle(message.id)?.resolve(message.value)
      else if (message.id === 0) reject(new DeskError(message.failure))
      else settle(message.id)?.reject(new DeskError(message.failure))
    }
    post({ kind: 'start', version: options.version, locale: options.locale, assets: options.assets })
  })
}
