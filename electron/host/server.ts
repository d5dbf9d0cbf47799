import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { describeProblem, InputError } from '../../core/model/index.ts'
import { readBundled } from '../desktop/bundle.ts'
import { documentHeaders } from '../desktop/headers.ts'
import type { TokenDesk } from '../files/token-desk.ts'
import { CALL_ARGUMENTS } from '../ipc/arguments.ts'
import { CHANNELS, HOST_BEGIN_CALL, HOST_TOKEN_HEADER, type Startup } from '../ipc/surface.ts'
import { checkCall, checkRequest, decodePath, isSameSecret, newSecret, type Refusal } from './security.ts'

export interface WindowHost {
  /** Address with the one-time code in its fragment, which no server and no process list sees. */
  readonly address: string
  readonly port: number
  close(): Promise<void>
}

export interface WindowHostOptions {
  /** Folder of the built window. */
  readonly root: string
  readonly startup: Startup
  readonly tokens: TokenDesk
  readonly port?: number
  /** How long a request may take to arrive whole, in milliseconds; half a minute unless told. */
  readonly patience?: number
}

const MAX_JSON = 1 << 20
const PATIENCE_MS = 30_000

/** Serves the window on 127.0.0.1 for machines without Electron's binary: the same page, the same calls, the same rules. */
export async function openWindowHost(options: WindowHostOptions): Promise<WindowHost> {
  const secrets = { code: newSecret() as string | null, token: newSecret() }
  let authority = ''
  const patience = options.patience ?? PATIENCE_MS
  const limits = {
    requestTimeout: patience,
    headersTimeout: patience / 3,
    connectionsCheckingInterval: patience / 6,
    maxHeaderSize: 16_384,
  }
  const server = createServer(limits, (request, response) => {
    guardResponse(response)
    answer(request, response, authority, secrets, options).catch((error: unknown) => {
      // The page learns that it failed; what failed may name paths, which it never sees.
      if (!request.destroyed) console.error(error)
      send(response, { status: 500, reason: 'The window host failed at this. Its own output says why.' })
    })
  })
  server.maxConnections = 64
  const port = await listen(server, options.port ?? 0)
  authority = `127.0.0.1:${port}`
  return {
    address: `http://${authority}/#${secrets.code}`,
    port,
    close: () =>
      new Promise(done => {
        server.close(() => done())
        server.closeAllConnections()
      }),
  }
}

/** What every answer carries, refusals and calls too: no other page may embed, read or sniff it. */
function guardResponse(response: ServerResponse): void {
  for (const [name, value] of Object.entries(documentHeaders(newSecret()))) response.setHeader(name, value)
  response.setHeader('Cache-Control', 'no-store')
}

interface Secrets {
  code: string | null
  readonly token: string
}

async function answer(
  request: IncomingMessage,
  response: ServerResponse,
  authority: string,
  secrets: Secrets,
  options: WindowHostOptions,
): Promise<void> {
  const refusal = checkRequest(request, authority)
  if (refusal) {
    response.shouldKeepAlive = false
    return send(response, refusal)
  }
  const path = decodePath(request.url ?? '')!
  if (!path.startsWith('/api/')) return serveFile(request, response, options.root)
  const call = path.slice('/api/'.length)
  const isBegin = call === HOST_BEGIN_CALL
  const given = request.headers[HOST_TOKEN_HEADER]
  const blocked = checkCall(request, typeof given === 'string' ? given : undefined, isBegin ? null : secrets.token)
  if (blocked) return send(response, blocked)
  const body = await readJson(request)
  if (body === TOO_LARGE) return sendAndHangUp(response, { status: 413, reason: 'The call is too large.' })
  if (isBegin) return begin(response, body, secrets)
  await answerCall(call, body, response, options)
}

function begin(response: ServerResponse, body: unknown, secrets: Secrets): void {
  const code = typeof body === 'object' && body !== null && 'code' in body ? String(body.code) : ''
  if (secrets.code === null || !isSameSecret(code, secrets.code)) {
    const reason = 'This address was used already. Start the program again for a new one.'
    send(response, { status: 403, reason })
    return
  }
  secrets.code = null
  sendJson(response, { token: secrets.token })
}

async function answerCall(
  call: string,
  body: unknown,
  response: ServerResponse,
  options: WindowHostOptions,
): Promise<void> {
  if (call === CHANNELS.startup) return sendJson(response, options.startup)
  if (call !== CHANNELS.readFile) return send(response, { status: 404, reason: 'No such call.' })
  const args = CALL_ARGUMENTS.readFile.safeParse(body)
  if (!args.success) return send(response, { status: 400, reason: 'Bad arguments.' })
  try {
    const bytes = await options.tokens.read(...args.data)
    response.writeHead(200, { 'Content-Type': 'application/octet-stream' })
    response.end(bytes)
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    response.writeHead(422, { 'Content-Type': 'application/json' })
    response.end(JSON.stringify({ problem: error.problem, message: describeProblem(error.problem) }))
  }
}

async function serveFile(request: IncomingMessage, response: ServerResponse, root: string): Promise<void> {
  if (request.method !== 'GET' && request.method !== 'HEAD')
    return send(response, { status: 405, reason: 'Read only.' })
  const file = await readBundled(root, request.url ?? '/')
  response.writeHead(file.status, file.headers)
  response.end(request.method === 'HEAD' ? undefined : file.body)
}

const TOO_LARGE = Symbol('too large')

/** The body's value; null where it is no JSON, `TOO_LARGE` as soon as it is known to be. */
async function readJson(request: IncomingMessage): Promise<unknown> {
  if (Number(request.headers['content-length'] ?? 0) > MAX_JSON) return TOO_LARGE
  const chunks: Buffer[] = []
  let size = 0
  // Left by a `return`, a plain loop would tear the socket down before the refusal is out.
  for await (const chunk of request.iterator({ destroyOnReturn: false }) as AsyncIterable<Buffer>) {
    size += chunk.length
    if (size > MAX_JSON) return TOO_LARGE
    chunks.push(chunk)
  }
  const text = Buffer.concat(chunks).toString('utf8')
  try {
    return text === '' ? null : JSON.parse(text)
  } catch {
    return null
  }
}

function send(response: ServerResponse, refusal: Refusal): void {
  if (response.headersSent) return void response.end()
  response.writeHead(refusal.status, { 'Content-Type': 'text/plain; charset=utf-8' })
  response.end(refusal.reason)
}

/** A socket that is torn down with bytes still unread takes the refusal with it, so they are let go by for a moment. */
const LAST_WORDS_MS = 250

/** Refuses and closes the connection soon after, so that what the other side still sends is not taken. */
function sendAndHangUp(response: ServerResponse, refusal: Refusal): void {
  response.shouldKeepAlive = false
  send(response, refusal)
  response.req.resume()
  setTimeout(() => response.req.destroy(), LAST_WORDS_MS).unref()
}

function sendJson(response: ServerResponse, value: unknown): void {
  response.writeHead(200, { 'Content-Type': 'application/json' })
  response.end(JSON.stringify(value))
}

function listen(server: Server, port: number): Promise<number> {
  return new Promise((done, fail) => {
    server.once('error', fail)
    server.listen(port, '127.0.0.1', () => done((server.address() as AddressInfo).port))
  })
}
