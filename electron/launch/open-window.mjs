// Opens the workstation: Electron where its binary is on this machine, else the window host in an installed browser.
import { spawn } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { buildTargets, ROOT } from '../build/build.mjs'
import { findBrowser } from './browser.mjs'

const hasDisplay = () => process.platform !== 'linux' || Boolean(process.env.DISPLAY || process.env.WAYLAND_DISPLAY)

function findElectron() {
  const pathFile = join(ROOT, 'node_modules/electron/path.txt')
  if (!existsSync(pathFile)) return null
  const binary = join(ROOT, 'node_modules/electron/dist', readFileSync(pathFile, 'utf8').trim())
  return existsSync(binary) ? binary : null
}

export async function openWindow(brief, say) {
  await buildTargets(['renderer'])
  const electron = findElectron()
  if (electron && hasDisplay()) {
    await buildTargets(['desktop'])
    say('Opening the workstation …')
    const child = spawn(electron, [ROOT, ...(brief ? [brief] : [])], { stdio: 'inherit' })
    return new Promise(done => child.on('exit', code => done(code ?? 0)))
  }
  await buildTargets(['host'])
  const { startHost } = await import(pathToFileURL(join(ROOT, 'dist/host/host.mjs')).href)
  const host = await startHost({ root: join(ROOT, 'dist/renderer'), brief })
  const browser = hasDisplay() ? findBrowser() : null
  if (browser === null) {
    say(`The workstation waits at ${host.address}`)
    say(
      hasDisplay()
        ? 'Open it in a Chromium-family browser. The address works once. Stop with Ctrl+C.'
        : 'This machine has no display: open the address in a browser on it (it works once). Stop with Ctrl+C.',
    )
    return new Promise(() => undefined)
  }
  say(`Opening the workstation in ${browser}. Close its window to stop.`)
  const profile = mkdtempSync(join(tmpdir(), 'vinereach-window-'))
  const flags = [
    `--app=${host.address}`,
    `--user-data-dir=${profile}`,
    '--no-first-run',
    '--no-default-browser-check',
    '--disable-background-networking',
    '--disable-sync',
    '--window-size=1440,900',
  ]
  if (process.getuid?.() === 0) flags.push('--no-sandbox')
  const child = spawn(browser, flags, { stdio: 'ignore' })
  await new Promise(done => child.on('exit', done))
  await host.close()
  rmSync(profile, { recursive: true, force: true })
  return 0
}
