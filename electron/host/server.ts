import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { describeProblem, InputError } from '../../core/model/index.ts'
import { readBundled } from '../desktop/bundle.ts'
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
}

const MAX_JSON = 1 << 20

/** Serves the window on 127.0.0.1 for machines without Electron's binary: the same page, the same calls, the same rules. */
export async function openWindowHost(options: WindowHostOptions): Promise<WindowHost> {
  const secrets = { code: newSecret() as string | null, token: newSecret() }
  let authority = ''
  const server = createServer({ requestTimeout: 30_000, maxHeaderSize: 16_384 }, (request, response) => {
    answer(request, response, authority, secrets, options).catch(error => {
      send(response, { status: 500, reason: error instanceof Error ? error.message : 'Failed.' })
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
  if (refusal) return send(response, refusal)
  const path = decodePath(request.url ?? '')!
  if (!path.startsWith('/api/')) return serveFile(request, response, options.root)
  const call = path.slice('/api/'.length)
  const isBegin = call === HOST_BEGIN_CALL
  const given = request.headers[HOST_TOKEN_HEADER]
  const blocked = checkCall(request, typeof given === 'string' ? given : undefined, isBegin ? null : secrets.token)
  if (blocked) return send(response, blocked)
  const body = await readJson(request)
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
    response.writeHead(200, { 'Content-Type': 'application/octet-stream', 'Cache-Control': 'no-store' })
    response.end(bytes)
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    response.writeHead(422, { 'Content-Type': 'application/json', 'Cache-Control': 'no-store' })
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

async function readJson(request: IncomingMessage): Promise<unknown> {
  const chunks: Buffer[] = []
  let size = 0
  for await (const chunk of request as AsyncIterable<Buffer>) {
    size += chunk.length
    if (size > MAX_JSON) throw new Error('The call is too large.')
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
  response.writeHead(refusal.status, {
    'Content-Type': 'text/plain; charset=utf-8',
    'X-Content-Type-Options': 'nosniff',
  })
  response.end(refusal.reason)
}

function sendJson(response: ServerResponse, value: unknown): void {
  response.writeHead(200, { 'Content-Type': 'application/json', 'Cache-Control': 'no-store' })
  response.end(JSON.stringify(value))
}

function listen(server: Server, port: number): Promise<number> {
  return new Promise((done, fail) => {
    server.once('error', fail)
    server.listen(port, '127.0.0.1', () => done((server.address() as AddressInfo).port))
  })
}
