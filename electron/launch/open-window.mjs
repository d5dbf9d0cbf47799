// Opens the workstation: Electron where its binary is on this machine, else the window host in an installed browser.
import { spawn } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { buildTargets, ROOT } from '../build/build.mjs'
import { findBrowser, HOW_TO_INSTALL } from './browser.mjs'

const hasDisplay = () => process.platform !== 'linux' || Boolean(process.env.DISPLAY || process.env.WAYLAND_DISPLAY)

function findElectron() {
  const pathFile = join(ROOT, 'node_modules/electron/path.txt')
  if (!existsSync(pathFile)) return null
  const binary = join(ROOT, 'node_modules/electron/dist', readFileSync(pathFile, 'utf8').trim())
  return existsSync(binary) ? binary : null
}

/** Opens the workstation on a brief and settles with an exit status once it was closed or interrupted. */
export async function openWindow(brief, say) {
  await buildTargets(['renderer'])
  const electron = findElectron()
  if (electron && hasDisplay()) {
    await buildTargets(['desktop'])
    say('Opening the workstation …')
    const child = spawn(electron, [ROOT, ...(brief ? [brief] : [])], { stdio: 'inherit' })
    return ended(child)
  }
  await buildTargets(['host'])
  const { startHost } = await import(pathToFileURL(join(ROOT, 'dist/host/host.mjs')).href)
  const host = await startHost({ root: join(ROOT, 'dist/renderer'), brief })
  const status = await showInBrowser(host.address, say)
  await host.close()
  return status
}

async function showInBrowser(address, say) {
  if (!hasDisplay()) return waitAt(address, 'This machine has no display: open the address in a browser on it', say)
  const browser = findBrowser()
  if (browser !== null) {
    say(`Opening the workstation in ${browser}. Close its window to stop, or press Ctrl+C.`)
    const status = await runBrowser(browser, address)
    if (status !== null) return status
    say(`${browser} opened no window.`)
  } else say(HOW_TO_INSTALL)
  return waitAt(address, 'Open it in a Chromium-family browser on this machine', say)
}

/** Says where the workstation is and what to do, and settles when interrupted; listens before it says how to stop. */
function waitAt(address, what, say) {
  return new Promise(done => {
    for (const signal of SIGNALS) process.once(signal, () => done(INTERRUPTED))
    say(`The workstation waits at ${address}`)
    say(`${what} (it works once). Stop with Ctrl+C.`)
  })
}

/** A browser that ends in failure before this showed nothing. */
const TOO_SOON_MS = 5000

/** Runs the app window in a profile of its own until it is closed; null where it could not be opened. */
async function runBrowser(browser, address) {
  const profile = mkdtempSync(join(tmpdir(), 'vinereach-window-'))
  const flags = [
    `--app=${address}`,
    `--user-data-dir=${profile}`,
    '--no-first-run',
    '--no-default-browser-check',
    '--disable-background-networking',
    '--disable-sync',
    // Draws the map in software where there is no graphics processor; the page it runs is our own alone.
    '--enable-unsafe-swiftshader',
    '--window-size=1440,900',
  ]
  if (process.getuid?.() === 0) flags.push('--no-sandbox')
  const started = Date.now()
  const status = await ended(spawn(browser, flags, { stdio: 'ignore' }))
  // Helpers of the browser may still write as they end.
  rmSync(profile, { recursive: true, force: true, maxRetries: 10, retryDelay: 100 })
  if (status === INTERRUPTED) return status
  return status !== 0 && Date.now() - started < TOO_SOON_MS ? null : 0
}

/** Exit status of a program stopped by Ctrl+C, as shells have it. */
const INTERRUPTED = 130
const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP']

/** Settles when the program ends; passes an interrupt on to it, so that it never outlives the command. */
function ended(child) {
  return new Promise(done => {
    const state = { isInterrupted: false }
    const interrupt = () => {
      state.isInterrupted = true
      child.kill('SIGTERM')
      setTimeout(() => child.kill('SIGKILL'), TOO_SOON_MS).unref()
    }
    const finish = status => {
      for (const signal of SIGNALS) process.off(signal, interrupt)
      done(state.isInterrupted ? INTERRUPTED : status)
    }
    for (const signal of SIGNALS) process.on(signal, interrupt)
    child.once('error', () => finish(127))
    child.once('exit', code => finish(code ?? 1))
  })
}
