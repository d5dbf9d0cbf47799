/**
 * The thread that runs the desk. Calls come in by message and are answered by id; long ones yield between steps,
 * so that tiles, hovers and a cancel get in while they run.
 */
import type { Desk, DeskFailure } from '../../core/desk-view.ts'
import { Cancelled, InputError } from '../../core/model/index.ts'
import { createDesk } from './desk-maker.ts'
import type { AssetAddresses, FromWorker, MapContents, ToWorker } from './messages.ts'
import { createTileCutter, type TileCutter } from './tiles.ts'

const post = (message: FromWorker, transfer: Transferable[] = []) => self.postMessage(message, { transfer })

const wanted = new Map<number, { resolve: (bytes: Uint8Array) => void; reject: (error: Error) => void }>()
const session: { desk: Desk | null; tiles: TileCutter; isCancelled: boolean; nextFile: number; running: number } = {
  desk: null,
  tiles: createTileCutter([]),
  isCancelled: false,
  nextFile: 1,
  running: 0,
}

function readThroughPage(path: string): Promise<Uint8Array> {
  const id = session.nextFile++
  return new Promise((resolve, reject) => {
    wanted.set(id, { resolve, reject })
    post({ kind: 'read', id, path })
  })
}

/** Lets waiting messages in: a message to oneself comes after those that are already queued. */
const breathe = () =>
  new Promise<void>(resolve => {
    const { port1, port2 } = new MessageChannel()
    port1.onmessage = () => {
      port1.close()
      resolve()
    }
    port2.postMessage(null)
  })

async function fetchBytes(address: string): Promise<Uint8Array> {
  const answer = await fetch(address)
  if (!answer.ok) throw new Error(`${address}: ${answer.status}`)
  return new Uint8Array(await answer.arrayBuffer())
}

async function start(version: string, locale: string, addresses: AssetAddresses): Promise<void> {
  const names = Object.keys(addresses.fonts)
  const [sqlWasm, ...fonts] = await Promise.all([
    fetchBytes(addresses.sqlWasm),
    ...names.map(name => fetchBytes(addresses.fonts[name]!)),
  ])
  session.desk = createDesk({
    files: { read: readThroughPage },
    assets: { sqlWasm: sqlWasm!, fonts: Object.fromEntries(names.map((name, i) => [name, fonts[i]!])) },
    version,
    locale,
    host: {
      onStep: async (fraction, note) => {
        post({ kind: 'progress', fraction, note })
        await breathe()
      },
      isCancelled: () => session.isCancelled,
    },
  })
  post({ kind: 'started' })
}

function asFailure(error: unknown): DeskFailure {
  if (error instanceof InputError) return { kind: 'input', problem: error.problem }
  if (error instanceof Cancelled)
    return { kind: 'cancelled', problem: { code: 'cancelled', reason: 'Stopped. Nothing was changed.' } }
  const reason = error instanceof Error ? error.message : String(error)
  return { kind: 'fault', problem: { code: 'fault', reason } }
}

const LONG_CALLS = new Set<string>(['openBrief', 'run', 'drawSheet', 'outputs'])

async function answerCall(message: Extract<ToWorker, { kind: 'call' }>): Promise<void> {
  const { desk } = session
  const isLong = LONG_CALLS.has(message.call)
  try {
    if (desk === null) throw new Error('The desk has not started.')
    if (isLong && session.running++ === 0) session.isCancelled = false
    const call = desk[message.call] as (...args: unknown[]) => unknown
    const value = await call.apply(desk, [...message.args])
    post({ kind: 'value', id: message.id, value: message.call === 'mapLayers' ? takeLayers(desk) : value })
  } catch (error) {
    post({ kind: 'failure', id: message.id, failure: asFailure(error) })
  } finally {
    if (isLong) session.running--
  }
}

function takeLayers(desk: Desk): MapContents {
  const { version, layers } = desk.mapLayers()
  session.tiles = createTileCutter(layers)
  return {
    version,
    layers: layers.map(({ id, layer, sources = [] }) => ({ id, features: layer.featureCount, sources })),
  }
}

self.onmessage = (event: MessageEvent<ToWorker>) => {
  const message = event.data
  switch (message.kind) {
    case 'start':
      start(message.version, message.locale, message.assets).catch((error: unknown) =>
        post({ kind: 'failure', id: 0, failure: asFailure(error) }),
      )
      return
    case 'call':
      void answerCall(message)
      return
    case 'tile': {
      const bytes = session.tiles.cut(message.z, message.x, message.y)
      post({ kind: 'value', id: message.id, value: bytes }, [bytes.buffer as ArrayBuffer])
      return
    }
    case 'cancel':
      session.isCancelled = true
      return
    case 'file':
      wanted.get(message.id)?.resolve(message.bytes)
      wanted.delete(message.id)
      return
    case 'no-file':
      wanted
        .get(message.id)
        ?.reject(
          new InputError({ code: 'file-not-read', reason: message.reason, remedy: 'Check the path in the brief.' }),
        )
      wanted.delete(message.id)
  }
}
