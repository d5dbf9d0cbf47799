import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { basename, join } from 'node:path'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, expect, test } from 'vitest'
import type { HostSurface } from '../../electron/ipc/surface.ts'
import { openDesktop, type StandIn } from './open-desktop.ts'

declare global {
  interface Window {
    readonly vinereach?: HostSurface
  }
}

let standIn: StandIn
let page: Page
const folder = mkdtempSync(join(tmpdir(), 'desktop-'))

beforeAll(async () => {
  ;({ standIn, page } = await openDesktop())
})
afterAll(async () => {
  await standIn?.control.close()
  rmSync(folder, { recursive: true, force: true })
})

const run = <T>(work: () => T | Promise<T>): Promise<T> => page.evaluate(work)

test('the page has one frozen surface and nothing of node', async () => {
  const seen = await run(() => {
    const world = window as unknown as Record<string, unknown>
    const surface = world['vinereach'] as object
    return {
      names: Object.keys(surface).sort(),
      isFrozen: Object.isFrozen(surface),
      node: [typeof world['require'], typeof world['process'], typeof world['__toMain'], typeof world['module']],
    }
  })
  expect(seen.names).toEqual(['chooseFile', 'onMenu', 'readFile', 'saveFile', 'startup'])
  expect(seen.isFrozen).toBe(true)
  expect(seen.node).toEqual(['undefined', 'undefined', 'undefined', 'undefined'])
})

test('every response carries the policy, and text is not taken for HTML', async () => {
  const headers = await run(async () => {
    const answer = await fetch('/index.html')
    return {
      policy: answer.headers.get('content-security-policy'),
      sniff: answer.headers.get('x-content-type-options'),
    }
  })
  const directives = new Map(headers.policy?.split('; ').map(part => [part.split(' ')[0]!, part]))
  expect(directives.get('default-src')).toBe("default-src 'none'")
  expect(directives.get('script-src')).toBe("script-src 'self' 'wasm-unsafe-eval'")
  expect(directives.get('worker-src')).toBe("worker-src 'self'")
  expect(directives.get('connect-src')).toBe("connect-src 'self'")
  expect(directives.has('require-trusted-types-for')).toBe(true)
  expect(headers.sniff).toBe('nosniff')
  const sink = await run(() => {
    try {
      document.createElement('div').innerHTML = '<img src=x>'
      return 'taken'
    } catch (error) {
      return (error as Error).name
    }
  })
  expect(sink).not.toBe('taken')
})

test('a chosen file is read by its token, with a name inside its folder, and nothing else', async () => {
  writeFileSync(join(folder, 'brief é.json'), '{"title": "a"}')
  writeFileSync(join(folder, 'reports.csv'), 'lon,lat\n1,2\n')
  standIn.control.dialogs.push({ canceled: false, filePaths: [join(folder, 'brief é.json')] })
  const read = await run(async () => {
    const surface = window.vinereach!
    const chosen = (await surface.chooseFile('brief'))!
    const text = (bytes: Uint8Array) => new TextDecoder().decode(bytes)
    const refused = async (work: Promise<unknown>) =>
      work.then(
        () => 'read',
        (error: Error) => error.message,
      )
    return {
      name: chosen.name,
      token: chosen.token,
      brief: text(await surface.readFile(chosen.token)),
      beside: text(await surface.readFile(chosen.token, 'reports.csv')),
      outside: await refused(surface.readFile(chosen.token, '../../etc/passwd')),
      absolute: await refused(surface.readFile(chosen.token, '/etc/passwd')),
      forged: await refused(surface.readFile('/etc/passwd')),
      missing: await refused(surface.readFile(chosen.token, 'nothing.csv')),
    }
  })
  expect(read.name).toBe('brief é.json')
  expect(read.token).not.toContain('/')
  expect(read.brief).toBe('{"title": "a"}')
  expect(read.beside).toBe('lon,lat\n1,2\n')
  expect(read.outside).toContain("outside the brief's folder")
  expect(read.absolute).toContain("outside the brief's folder")
  expect(read.forged).toContain('was not chosen')
  expect(read.missing).toContain('no such file')
})

test("a save asks where and writes the bytes; changing one's mind writes nothing", async () => {
  const target = join(folder, 'saved.gpkg')
  standIn.control.dialogs.push({ canceled: false, filePath: target }, { canceled: true, filePath: '' })
  const answers = await run(async () => {
    const bytes = Uint8Array.of(0, 1, 2, 255)
    return [await window.vinereach!.saveFile('saved.gpkg', bytes), await window.vinereach!.saveFile('no.gpkg', bytes)]
  })
  expect(answers).toEqual([{ name: 'saved.gpkg' }, null])
  expect([...readFileSync(target)]).toEqual([0, 1, 2, 255])
})

test('a save that fails says so in words, without the path, and a suggested name cannot point anywhere', async () => {
  const target = join(folder, 'no-such-folder', 'saved.gpkg')
  standIn.control.dialogs.push({ canceled: false, filePath: target }, { canceled: true, filePath: '' })
  const asked = standIn.control.asked.length
  const failure = await run(async () => {
    const surface = window.vinereach!
    const error = await surface.saveFile('../../.bashrc', Uint8Array.of(1)).catch((caught: Error) => caught.message)
    await surface.saveFile('..', Uint8Array.of(1))
    return String(error)
  })
  expect(failure).toContain('saved.gpkg')
  expect(failure).toContain('another place')
  expect(failure).not.toContain(folder)
  const suggested = standIn.control.asked.slice(asked).map(options => basename(String(options['defaultPath'])))
  expect(suggested).toEqual(['bashrc', 'unnamed'])
})

test('a chosen layer opens itself alone; only a brief opens its folder', async () => {
  writeFileSync(join(folder, 'layer.csv'), 'lon,lat\n')
  writeFileSync(join(folder, 'beside.csv'), 'other')
  standIn.control.dialogs.push({ canceled: false, filePaths: [join(folder, 'layer.csv')] })
  const read = await run(async () => {
    const surface = window.vinereach!
    const chosen = (await surface.chooseFile('layer'))!
    return {
      own: new TextDecoder().decode(await surface.readFile(chosen.token)),
      beside: await surface.readFile(chosen.token, 'beside.csv').then(
        () => 'read',
        (error: Error) => error.message,
      ),
    }
  })
  expect(read.own).toBe('lon,lat\n')
  expect(read.beside).toContain('Only a brief')
})

test('calls from foreign or vanished frames and calls with wrong arguments are refused', async () => {
  const own = standIn.control.windows[0]!.webContents.mainFrame
  await expect(standIn.callMain('startup', { url: 'app://bundle/index.html' })).rejects.toThrow('Refused')
  await expect(standIn.callMain('startup', { url: 'https://evil.example/' })).rejects.toThrow('Refused')
  await expect(standIn.callMain('startup', null)).rejects.toThrow('Refused')
  await expect(standIn.callMain('read-file', own, { path: '/etc/passwd' })).rejects.toThrow('Refused')
  await expect(standIn.callMain('choose-file', own, 'anything')).rejects.toThrow('Refused')
})

test('navigation, new windows and the network are denied', async () => {
  const before = page.url()
  await run(() => {
    const link = document.createElement('a')
    link.href = 'https://evil.example/'
    document.body.append(link)
    link.click()
    link.remove()
  })
  await page.waitForTimeout(300)
  await run(() => void window.open('https://popup.example/'))
  await page.waitForTimeout(300)
  const fetched = await run(() =>
    fetch('https://net.example/').then(
      () => 'reached',
      () => 'refused',
    ),
  )
  expect(page.url()).toBe(before)
  expect(standIn.control.blocked.some(entry => entry.startsWith('popup deny'))).toBe(true)
  expect(fetched).toBe('refused')
})

test('paths that climb out of the bundle are not found', async () => {
  const statuses = await run(async () => {
    const paths = [
      '/..%2f..%2fpackage.json',
      '/%2e%2e/%2e%2e/package.json',
      '/assets/',
      '/index.html%00.js',
      '/..%5cmain.mjs',
    ]
    return Promise.all(paths.map(path => fetch(path).then(answer => answer.status)))
  })
  expect(statuses.every(status => status === 404)).toBe(true)
})

test('every permission is denied', () => {
  const { request, check, device } = standIn.control.permissions as Record<string, (...args: unknown[]) => unknown>
  for (const name of ['geolocation', 'media', 'notifications', 'clipboard-read', 'openExternal', 'fullscreen']) {
    let answer: unknown = 'none'
    request!(null, name, (allowed: unknown) => {
      answer = allowed
    })
    expect(answer, name).toBe(false)
    expect(check!(null, name), name).toBe(false)
  }
  expect(device!({})).toBe(false)
})

test('a menu command reaches the page as its name alone', async () => {
  await run(() => {
    const world = window as unknown as { menuSeen: unknown[] }
    world.menuSeen = []
    window.vinereach!.onMenu((...args: unknown[]) => world.menuSeen.push(...args))
  })
  standIn.control.windows[0]!.webContents.send('menu', 'ledger')
  await page.waitForTimeout(200)
  expect(await run(() => (window as unknown as { menuSeen: unknown[] }).menuSeen)).toEqual(['ledger'])
})

test('a window with weakened preferences is refused by the stand-in, so the checks above mean something', () => {
  const safe = { contextIsolation: true, sandbox: true, nodeIntegration: false, webviewTag: false }
  for (const weak of [
    { sandbox: false },
    { contextIsolation: false },
    { nodeIntegration: true },
    { webSecurity: false },
  ]) {
    expect(() => new standIn.BrowserWindow({ webPreferences: { ...safe, ...weak } })).toThrow('weakens')
  }
})
