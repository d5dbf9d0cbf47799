/** What the launchers say and do on machines that lack something: a display, a browser, a reference tool. */
import { spawn } from 'node:child_process'
import { chmodSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from 'vitest'
import { buildTargets } from '../../electron/build/build.mjs'
import { findBrowser, HOW_TO_INSTALL } from '../../electron/launch/browser.mjs'
import { missingTools, sayMissing } from '../../electron/launch/reference-tools.mjs'

const ROOT = join(import.meta.dirname, '../..')
const folder = mkdtempSync(join(tmpdir(), 'vinereach-launch-'))
const program = (name: string, script: string) => {
  const path = join(folder, name)
  writeFileSync(path, `#!/bin/sh\n${script}\n`)
  chmodSync(path, 0o755)
  return path
}
afterEach(() => vi.unstubAllEnvs())
afterAll(() => rmSync(folder, { recursive: true, force: true }))

describe.skipIf(process.platform !== 'linux')('finding programs by the PATH (Linux)', () => {
  test('a browser is a program that may be run, not a folder or a file of its name', () => {
    const place = join(folder, 'empty')
    mkdirSync(join(place, 'chromium'), { recursive: true })
    writeFileSync(join(place, 'google-chrome'), '')
    vi.stubEnv('CHROMIUM', join(place, 'nothing'))
    vi.stubEnv('PATH', place)
    expect(findBrowser()).toBeNull()
    program('chromium', 'exit 0')
    vi.stubEnv('PATH', `${place}:${folder}`)
    expect(findBrowser()).toBe(join(folder, 'chromium'))
    const named = program('own-browser', 'exit 0')
    vi.stubEnv('CHROMIUM', named)
    expect(findBrowser()).toBe(named)
  })

  test('tools that are missing are named with what brings them', () => {
    program('ogrinfo', 'exit 0')
    vi.stubEnv('PATH', folder)
    const missing = missingTools().map(([name]) => name)
    expect(missing).toContain('pdffonts')
    expect(missing).not.toContain('ogrinfo')
    expect(sayMissing([['pdffonts', 'poppler-utils']])).toMatch(/pdffonts are skipped.*apt-get install poppler-utils/)
    expect(sayMissing([])).toBeNull()
  })
})

describe.skipIf(process.platform !== 'linux')('npm start (Linux)', () => {
  beforeAll(() => buildTargets(['renderer', 'host']), 180_000)

  /** Runs the launcher until it said that it waits, then interrupts it as Ctrl+C does. */
  function start(env: Readonly<Record<string, string>>): Promise<{ said: string; status: number | null }> {
    return new Promise(done => {
      const bare = { PATH: join(folder, 'empty'), HOME: folder }
      const child = spawn(process.execPath, ['electron/launch/start.mjs'], { cwd: ROOT, env: { ...bare, ...env } })
      const state = { said: '' }
      child.stdout.on('data', (chunk: Buffer) => {
        state.said += chunk.toString('utf8')
        if (state.said.includes('Stop with Ctrl+C')) child.kill('SIGINT')
      })
      child.once('exit', status => done({ said: state.said, status }))
    })
  }

  test('without a display it prints the address, and ends when interrupted', async () => {
    const { said, status } = await start({})
    expect(said).toMatch(/waits at http:\/\/127\.0\.0\.1:\d+\/#[\w-]{43}/)
    expect(said).toContain('no display')
    expect(status).toBe(130)
  })

  test('without a browser it says exactly what to install', async () => {
    const { said, status } = await start({ DISPLAY: ':none' })
    expect(said).toContain(HOW_TO_INSTALL)
    expect(said).toContain('waits at http://127.0.0.1:')
    expect(status).toBe(130)
  })

  test('a browser that opens nothing is named, and the address still stands', async () => {
    const broken = program('broken', 'exit 1')
    const { said, status } = await start({ DISPLAY: ':none', CHROMIUM: broken })
    expect(said).toContain(`${broken} opened no window.`)
    expect(said).toContain('waits at http://127.0.0.1:')
    expect(status).toBe(130)
  })

  test('when its window is closed the command ends', async () => {
    const closed = program('closed', 'exit 0')
    const { said, status } = await start({ DISPLAY: ':none', CHROMIUM: closed })
    expect(said).toContain('Close its window to stop')
    expect(status).toBe(0)
  })
})
