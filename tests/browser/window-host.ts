/** A small host for tests: the built window with the product's content policy, and the few calls of the host surface. */
import { readFile } from 'node:fs/promises'
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { extname, join } from 'node:path'

const NONCE = 'dGVzdC1ub25jZS0wMDAx'
/** The policy of the desktop, word for word. */
export const CONTENT_POLICY = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "worker-src 'self'",
  `style-src 'self' 'nonce-${NONCE}'`,
  "img-src 'self' data: blob:",
  "font-src 'self'",
  "connect-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
  "object-src 'none'",
  "require-trusted-types-for 'script'",
  'trusted-types default',
].join('; ')

const KINDS: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
  '.wasm': 'application/wasm',
  '.woff2': 'font/woff2',
  '.woff': 'font/woff',
}

export interface TestHost {
  readonly address: string
  close(): Promise<void>
}

export interface TestHostOptions {
  readonly folder: string
  readonly brief?: string | null
  readonly locale?: string
}

export async function openTestHost(options: TestHostOptions): Promise<TestHost> {
  const brief = options.brief === undefined ? '{ "title": "Tarn Brook district" }' : options.brief
  const server = createServer((request, response) => {
    response.setHeader('content-security-policy', CONTENT_POLICY)
    const path = new URL(request.url ?? '/', 'http://127.0.0.1').pathname
    const done = path.startsWith('/api/')
      ? answerCall(path.slice(5), request, response, { brief, locale: options.locale ?? 'en-US' })
      : sendFile(join(options.folder, path === '/' ? 'index.html' : path), response)
    done.catch(() => response.writeHead(404).end())
  })
  await new Promise<void>(resolve => server.listen(0, '127.0.0.1', resolve))
  return {
    address: `http://127.0.0.1:${(server.address() as AddressInfo).port}/#one-time`,
    close: () =>
      new Promise(resolve => {
        server.closeAllConnections()
        server.close(() => resolve())
      }),
  }
}

async function sendFile(file: string, response: ServerResponse): Promise<void> {
  const bytes = await readFile(file)
  response.setHeader('content-type', KINDS[extname(file)] ?? 'application/octet-stream')
  response.end(extname(file) === '.html' ? bytes.toString('utf8').replaceAll('__CSP_NONCE__', NONCE) : bytes)
}

interface Held {
  readonly brief: string | null
  readonly locale: string
}

async function answerCall(call: string, request: IncomingMessage, response: ServerResponse, held: Held): Promise<void> {
  request.resume()
  const json = (value: unknown) => response.setHeader('content-type', 'application/json').end(JSON.stringify(value))
  const brief = held.brief === null ? null : { token: 'brief-token', name: 'brief.json' }
  if (call === 'begin') json({ token: 'launch-token' })
  else if (call === 'startup') json({ version: '0.1.0', locale: held.locale, brief })
  else if (call === 'read-file') response.end(held.brief ?? '')
  else response.writeHead(404).end()
}
