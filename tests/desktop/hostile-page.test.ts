/** The window host under what a hostile page, or a program beside it, may send. Requests are written byte by byte. */
import { mkdir, mkdtemp, rm, symlink, writeFile } from 'node:fs/promises'
import { connect, type Socket } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { TokenDesk } from '../../electron/files/token-desk.ts'
import { openWindowHost, type WindowHost } from '../../electron/host/server.ts'

let folder: string
let host: WindowHost
let token: string
let brief: string
const PATIENCE_MS = 1500

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'vinereach-hostile-'))
  await mkdir(join(folder, 'window/assets'), { recursive: true })
  await writeFile(join(folder, 'window/index.html'), '<!doctype html><meta content="__CSP_NONCE__"><p>window</p>')
  await writeFile(join(folder, 'window/assets/a.js'), 'export {}')
  await writeFile(join(folder, 'secret.json'), '"secret"')
  await symlink(join(folder, 'secret.json'), join(folder, 'window/assets/link.json'))
  await mkdir(join(folder, 'county'))
  await writeFile(join(folder, 'county/brief.json'), '{}')
  const tokens = new TokenDesk()
  const given = tokens.give(join(folder, 'county/brief.json'), 'folder')
  brief = given.token
  const startup = { version: '0', locale: 'en-US', brief: given }
  host = await openWindowHost({ root: join(folder, 'window'), tokens, startup, patience: PATIENCE_MS })
  const begun = await post('begin', JSON.stringify({ code: host.address.split('#')[1] }), { 'x-vinereach-token': '' })
  token = (JSON.parse(begun.body) as { token: string }).token
})
afterAll(async () => {
  await host?.close()
  await rm(folder, { recursive: true, force: true })
})

interface Said {
  /** 0 where the host hung up without a word. */
  readonly status: number
  readonly headers: ReadonlyMap<string, string>
  readonly body: string
}

const open = (): Promise<Socket> =>
  new Promise((done, fail) => {
    const socket = connect(host.port, '127.0.0.1', () => done(socket))
    socket.once('error', fail)
  })

/** All that comes back until the host closes, or for as long as given. */
function hear(socket: Socket, patience = 10_000): Promise<Said> {
  return new Promise(done => {
    const chunks: Buffer[] = []
    const finish = () => {
      clearTimeout(timer)
      socket.destroy()
      done(parseAnswer(Buffer.concat(chunks).toString('latin1')))
    }
    const timer = setTimeout(finish, patience)
    socket.on('data', (chunk: Buffer) => chunks.push(chunk))
    socket.on('error', finish)
    socket.on('close', finish)
  })
}

function parseAnswer(text: string): Said {
  const [head = '', ...rest] = text.split('\r\n\r\n')
  const [first = '', ...lines] = head.split('\r\n')
  const headers = lines.map(line => [line.slice(0, line.indexOf(':')).toLowerCase(), line.slice(line.indexOf(':') + 2)])
  const named = new Map(headers as [string, string][])
  const body = rest.join('\r\n\r\n')
  return {
    status: Number(first.split(' ')[1] ?? 0),
    headers: named,
    body: named.get('transfer-encoding') === 'chunked' ? joinChunks(body) : body,
  }
}

function joinChunks(text: string): string {
  const size = Number.parseInt(text, 16)
  if (!(size > 0)) return ''
  const from = text.indexOf('\r\n') + 2
  return text.slice(from, from + size) + joinChunks(text.slice(from + size + 2))
}

/** Sends the lines as they are, with a blank line behind them. */
async function raw(lines: readonly string[], body = ''): Promise<Said> {
  const socket = await open()
  const heard = hear(socket)
  socket.write(`${[...lines, 'Connection: close', '', ''].join('\r\n')}${body}`)
  return heard
}

const ownHost = () => `Host: 127.0.0.1:${host.port}`

/** A call as the window makes it, with headers laid over its own; an empty one leaves it out. */
function post(call: string, body: string, changed: Readonly<Record<string, string>> = {}): Promise<Said> {
  const headers: Record<string, string> = {
    'content-type': 'application/json',
    'content-length': String(Buffer.byteLength(body)),
    'sec-fetch-site': 'same-origin',
    'x-vinereach-token': token,
    ...changed,
  }
  const lines = Object.entries(headers).flatMap(([name, value]) => (value === '' ? [] : [`${name}: ${value}`]))
  return raw([`POST /api/${call} HTTP/1.1`, ownHost(), ...lines], body)
}

describe('who asks', () => {
  test('one Host header, ours to the letter', async () => {
    expect((await raw(['GET / HTTP/1.1', ownHost()])).status).toBe(200)
    for (const [lines, status] of [
      [['Host: evil.test'], 403],
      [[`Host: localhost:${host.port}`], 403],
      [['Host: 127.0.0.1'], 403],
      [[`Host: 127.0.0.1:${host.port}.evil.test`], 403],
      [[`Host: evil.test@127.0.0.1:${host.port}`], 403],
      [[`Host: [::1]:${host.port}`], 403],
      [[], 400],
      [[ownHost(), 'Host: evil.test'], 400],
      [['Host: evil.test', ownHost()], 400],
    ] as const) {
      const said = await raw(['GET / HTTP/1.1', ...lines])
      // Node refuses two Host headers, or none, by itself or leaves it to the gate: refused either way.
      expect([400, 403], lines.join()).toContain(said.status)
      if (status === 403) expect(said.status, lines.join()).toBe(403)
      expect(said.body).not.toContain('window')
    }
    expect((await raw(['GET / HTTP/1.0'])).status).toBe(403)
  })

  test('foreign origins, and none of the fetch metadata, are refused; cookies are not looked at', async () => {
    const good = await post('startup', '[]')
    expect(good.status).toBe(200)
    for (const [changed, why] of [
      [{ origin: 'http://evil.test' }, 'another site'],
      [{ origin: 'null' }, 'a sandboxed frame or a file'],
      [{ origin: `http://127.0.0.1:${host.port + 1}` }, 'another port'],
      [{ origin: `https://127.0.0.1:${host.port}` }, 'another scheme'],
      [{ 'sec-fetch-site': 'same-site' }, 'a page of another port'],
      [{ 'sec-fetch-site': 'cross-site' }, 'a page of another site'],
      [{ 'sec-fetch-site': 'none' }, 'the address bar'],
      [{ 'sec-fetch-site': '' }, 'no browser'],
      [{ 'x-vinereach-token': '' }, 'no token'],
      [{ 'x-vinereach-token': 'A'.repeat(43) }, 'a guess'],
      [{ 'x-vinereach-token': '', cookie: `x-vinereach-token=${token}` }, 'a cookie, which every port shares'],
      [{ 'x-vinereach-token': '', authorization: `Bearer ${token}` }, 'the token elsewhere'],
    ] as const) {
      const said = await post('startup', '[]', changed as Record<string, string>)
      expect(said.status, why).toBe(403)
      expect(said.body, why).not.toContain(brief)
    }
  })

  test('a plain form, a beacon and a preflight get nowhere', async () => {
    for (const type of [
      'text/plain',
      'application/x-www-form-urlencoded',
      'multipart/form-data',
      'application/jsonp',
    ]) {
      expect((await post('startup', '[]', { 'content-type': type })).status, type).toBe(415)
    }
    const preflight = await raw([
      'OPTIONS /api/startup HTTP/1.1',
      ownHost(),
      'Access-Control-Request-Method: POST',
      'Access-Control-Request-Headers: x-vinereach-token',
    ])
    expect(preflight.status).toBe(405)
    for (const method of ['GET', 'HEAD', 'PUT', 'DELETE', 'TRACE'])
      expect((await raw([`${method} /api/startup HTTP/1.1`, ownHost()])).status, method).toBe(405)
  })

  test('no answer opens itself to other pages or sets a cookie; every one forbids sniffing and embedding', async () => {
    const answers = [
      await raw(['GET / HTTP/1.1', ownHost()]),
      await raw(['GET /assets/a.js HTTP/1.1', ownHost()]),
      await raw(['GET /nothing.js HTTP/1.1', ownHost()]),
      await raw(['GET / HTTP/1.1', 'Host: evil.test']),
      await post('startup', '[]'),
      await post('startup', '[]', { origin: 'http://evil.test' }),
      await post('read-file', JSON.stringify([brief])),
      await post('read-file', JSON.stringify(['forged'])),
    ]
    for (const { status, headers } of answers) {
      expect([...headers.keys()].filter(name => name.startsWith('access-control') || name === 'set-cookie')).toEqual([])
      expect(headers.get('x-content-type-options'), String(status)).toBe('nosniff')
      expect(headers.get('cross-origin-resource-policy'), String(status)).toBe('same-origin')
      expect(headers.get('cross-origin-opener-policy'), String(status)).toBe('same-origin')
      expect(headers.get('content-security-policy'), String(status)).toContain("default-src 'none'")
      expect(headers.get('content-security-policy'), String(status)).toContain("frame-ancestors 'none'")
    }
    for (const data of answers.slice(4)) expect(data.headers.get('cache-control')).toBe('no-store')
  })
})

describe('what it asks for', () => {
  test('targets in any form but the plain one are refused', async () => {
    for (const target of [
      `http://127.0.0.1:${host.port}/`,
      'http://evil.test/api/startup',
      'https://evil.test/',
      '//evil.test/',
      '//',
      '*',
      'api/startup',
      '/\\evil.test',
      '/%5c%5cevil.test',
      '/..%2f..%2fsecret.json',
      '/%2e%2e/secret.json',
      '/assets/..%2f..%2fsecret.json',
      '/%252e%252e%252fsecret.json',
      '/index.html%00.js',
      '/%zz',
      '/%c0%ae%c0%ae/secret.json',
    ]) {
      const said = await raw([`GET ${target} HTTP/1.1`, ownHost()])
      expect(said.status, target).toBe(400)
      expect(said.body, target).not.toContain('secret')
    }
  })

  test('what is no file of the window is not found: folders, links that lead out, kinds that it does not hold', async () => {
    for (const target of [
      '/assets',
      '/assets/',
      '/.',
      '/assets/link.json',
      '/%2fetc/passwd',
      '/index.html/',
      '/api',
      '/x.map',
    ]) {
      const said = await raw([`GET ${target} HTTP/1.1`, ownHost()])
      expect(said.status, target).toBe(404)
      expect(said.body, target).toBe('')
    }
    expect((await raw(['GET /assets/a.js HTTP/1.1', ownHost()])).body).toContain('export')
  })

  test('the nonce of the policy is the one in the page, and never twice the same', async () => {
    const nonces = await Promise.all(
      [1, 2].map(async () => {
        const page = await raw(['GET / HTTP/1.1', ownHost()])
        const nonce = /'nonce-([^']+)'/.exec(page.headers.get('content-security-policy') ?? '')?.[1]
        expect(page.body).toContain(`content="${nonce}"`)
        return nonce
      }),
    )
    expect(nonces[0]).not.toBe(nonces[1])
  })

  test('names that the language gives every object are no calls', async () => {
    for (const call of [
      '',
      'constructor',
      '__proto__',
      'toString',
      'startup/',
      'read-file/x',
      'menu',
      'save-file',
      'begin/',
    ])
      expect((await post(call, '[]')).status, call).toBe(404)
  })
})

describe('how it sends', () => {
  test('a socket of another protocol is refused', async () => {
    for (const upgrade of ['websocket', 'h2c', 'TLS/1.0']) {
      const socket = await open()
      const heard = hear(socket, 3000)
      socket.write(
        `GET /api/startup HTTP/1.1\r\n${ownHost()}\r\nConnection: Upgrade\r\nUpgrade: ${upgrade}\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n`,
      )
      expect((await heard).status, upgrade).toBe(400)
    }
    expect((await raw(['CONNECT evil.test:443 HTTP/1.1', ownHost()])).status).toBe(0)
  })

  test('a body over 1 MB is refused, announced or not, and is not read to its end', async () => {
    const announced = await post('read-file', '[', { 'content-length': String(2 << 20) })
    expect(announced.status).toBe(413)
    const socket = await open()
    const heard = hear(socket)
    socket.write(
      `POST /api/read-file HTTP/1.1\r\n${ownHost()}\r\nContent-Type: application/json\r\nSec-Fetch-Site: same-origin\r\nX-Vinereach-Token: ${token}\r\nTransfer-Encoding: chunked\r\n\r\n`,
    )
    const chunk = `10000\r\n${'x'.repeat(0x10000)}\r\n`
    const sender = setInterval(() => socket.destroyed || socket.write(chunk), 5)
    const said = await heard
    clearInterval(sender)
    expect(said.status).toBe(413)
    expect(socket.bytesWritten).toBeLessThan(16 << 20)
    expect((await post('startup', '[]')).status).toBe(200)
  })

  test('bodies that are no JSON, or are too deep, are bad arguments and do no harm', async () => {
    for (const body of [
      '',
      '{',
      'null',
      '"x"',
      '[1]',
      '[[]]',
      '{"__proto__":{"0":"x"}}',
      `["${'x'.repeat(65)}"]`,
      '['.repeat(200_000),
    ])
      expect((await post('read-file', body)).status, body.slice(0, 30)).toBe(400)
    expect((await post('startup', '[]')).status).toBe(200)
  })

  test('two lengths of one body, and heads over 16 KB, are refused', async () => {
    const smuggled = await raw(
      [
        'POST /api/startup HTTP/1.1',
        ownHost(),
        'Content-Type: application/json',
        'Content-Length: 4',
        'Transfer-Encoding: chunked',
      ],
      '0\r\n\r\nGET / HTTP/1.1\r\n\r\n',
    )
    expect(smuggled.status).toBe(400)
    expect((await raw(['GET / HTTP/1.1', ownHost(), `X-Long: ${'x'.repeat(20_000)}`])).status).toBe(431)
  })

  test('a head and a body that drip in are cut off, and others are served meanwhile', async () => {
    const started = performance.now()
    const drip = async (head: string) => {
      const socket = await open()
      const heard = hear(socket, PATIENCE_MS * 4)
      socket.write(head)
      const timer = setInterval(() => socket.destroyed || socket.write('x'), 100)
      const said = await heard
      clearInterval(timer)
      return said.status
    }
    const slow = Promise.all([
      drip(`GET / HTTP/1.1\r\n${ownHost()}\r\nX-Slow: `),
      drip(
        `POST /api/read-file HTTP/1.1\r\n${ownHost()}\r\nContent-Type: application/json\r\nSec-Fetch-Site: same-origin\r\nX-Vinereach-Token: ${token}\r\nContent-Length: 1000000\r\n\r\n`,
      ),
    ])
    expect((await post('startup', '[]')).status).toBe(200)
    expect(await slow).toEqual([408, 408])
    expect(performance.now() - started).toBeLessThan(PATIENCE_MS * 4)
  })

  test('sixty-four sockets are the most that are held', async () => {
    const sockets = await Promise.all(Array.from({ length: 80 }, open))
    for (const socket of sockets) socket.on('error', () => undefined).resume()
    const held = () => sockets.filter(socket => !socket.destroyed && !socket.readableEnded).length
    await expect.poll(held, { timeout: PATIENCE_MS / 3 }).toBeLessThanOrEqual(64)
    expect(held()).toBeGreaterThan(48)
    for (const socket of sockets) socket.destroy()
    await expect.poll(async () => (await post('startup', '[]').catch(() => null))?.status, { timeout: 5000 }).toBe(200)
  })
})

test('what fails inside is told without a path', async () => {
  await rm(join(folder, 'county/brief.json'))
  const gone = await post('read-file', JSON.stringify([brief]))
  expect(gone.status).toBe(422)
  expect(gone.body).toContain('brief.json')
  expect(gone.body).not.toContain(folder)
  await writeFile(join(folder, 'county/brief.json'), '{}')
})
