import { request } from 'node:http'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { startHost } from '../../electron/host/main.ts'
import type { WindowHost } from '../../electron/host/server.ts'

const ROOT = join(import.meta.dirname, '../..')
let host: WindowHost
let token = ''

beforeAll(async () => {
  host = await startHost({ root: join(ROOT, 'dist/renderer'), brief: join(ROOT, 'sample-layers/brief.json') })
})
afterAll(() => host.close())

interface Sent {
  readonly path: string
  readonly method?: string
  readonly headers?: Record<string, string | string[]>
  readonly body?: string
}

function send({ path, method = 'GET', headers = {}, body }: Sent): Promise<{ status: number; text: string }> {
  return new Promise((done, fail) => {
    const sent = request({ host: '127.0.0.1', port: host.port, path, method, headers }, answer => {
      const chunks: Buffer[] = []
      answer.on('data', chunk => chunks.push(chunk))
      answer.on('end', () => done({ status: answer.statusCode ?? 0, text: Buffer.concat(chunks).toString('utf8') }))
    })
    sent.on('error', fail)
    sent.end(body)
  })
}

const own = () => ({ host: `127.0.0.1:${host.port}` })
const call = (name: string, body: unknown, headers: Record<string, string> = {}) =>
  send({
    path: `/api/${name}`,
    method: 'POST',
    headers: { ...own(), 'content-type': 'application/json', 'sec-fetch-site': 'same-origin', ...headers },
    body: JSON.stringify(body),
  })

test('the one-time code opens one session and no second', async () => {
  const code = host.address.split('#')[1]!
  expect((await call('begin', { code: 'guess' })).status).toBe(403)
  const first = await call('begin', { code })
  expect(first.status).toBe(200)
  token = (JSON.parse(first.text) as { token: string }).token
  expect((await call('begin', { code })).status).toBe(403)
})

test('another host name, two host headers and an absolute target are refused', async () => {
  expect((await send({ path: '/', headers: { host: `evil.test:${host.port}` } })).status).toBe(403)
  expect((await send({ path: '/', headers: { host: `localhost:${host.port}` } })).status).toBe(403)
  expect((await send({ path: 'http://evil.test/api/startup', headers: own() })).status).toBe(400)
  expect((await send({ path: '//evil.test/', headers: own() })).status).toBe(400)
})

test('paths that climb are refused and folders are not listed', async () => {
  for (const path of [
    '/..%2f..%2fpackage.json',
    '/%2e%2e/package.json',
    '/..%5cpackage.json',
    '/a%00.js',
    '/%252e%252e/x',
  ]) {
    expect((await send({ path, headers: own() })).status, path).toBe(400)
  }
  expect((await send({ path: '/assets/', headers: own() })).status).toBe(404)
  expect((await send({ path: '/', headers: own() })).status).toBe(200)
})

test('calls need our own origin, a post of JSON, and the token', async () => {
  const good = { 'x-vinereach-token': token }
  expect((await call('startup', {}, good)).status).toBe(200)
  expect((await call('startup', {})).status).toBe(403)
  expect((await call('startup', {}, { 'x-vinereach-token': `${token}x` })).status).toBe(403)
  expect((await call('startup', {}, { ...good, 'sec-fetch-site': 'same-site' })).status).toBe(403)
  expect((await call('startup', {}, { ...good, origin: 'http://127.0.0.1:1' })).status).toBe(403)
  expect((await call('startup', {}, { ...good, 'content-type': 'text/plain' })).status).toBe(415)
  expect((await send({ path: '/api/startup', headers: { ...own(), ...good } })).status).toBe(405)
  expect((await call('no-such-call', {}, good)).status).toBe(404)
})

test('a file is read by its token and inside its folder alone', async () => {
  const good = { 'x-vinereach-token': token }
  const { brief } = JSON.parse((await call('startup', {}, good)).text) as { brief: { token: string; name: string } }
  expect(brief.name).toBe('brief.json')
  expect((await call('read-file', [brief.token], good)).text).toContain('Tollavane')
  expect((await call('read-file', [brief.token, 'roads.geojson'], good)).text).toContain('FeatureCollection')
  expect((await call('read-file', [brief.token, '../package.json'], good)).status).toBe(422)
  expect((await call('read-file', ['forged'], good)).status).toBe(422)
  expect((await call('read-file', { token: brief.token }, good)).status).toBe(400)
})
