// Finds a Chromium-family browser; on Debian as root it installs one when asked to.
import { execFileSync, spawnSync } from 'node:child_process'
import { accessSync, constants, existsSync, statSync } from 'node:fs'
import { join } from 'node:path'

const LINUX = [
  'chromium',
  'chromium-browser',
  'google-chrome',
  'google-chrome-stable',
  'microsoft-edge',
  'brave-browser',
]
const MAC = [
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge',
]
const WINDOWS = [
  'Google\\Chrome\\Application\\chrome.exe',
  'Microsoft\\Edge\\Application\\msedge.exe',
  'Chromium\\Application\\chrome.exe',
]

/** Whether a path is a program that may be run, not merely something of that name. */
export function isProgram(path) {
  try {
    accessSync(path, constants.X_OK)
    return statSync(path).isFile()
  } catch {
    return false
  }
}

export function findBrowser() {
  if (process.env.CHROMIUM && isProgram(process.env.CHROMIUM)) return process.env.CHROMIUM
  if (process.platform === 'darwin') return MAC.find(path => existsSync(path)) ?? null
  if (process.platform === 'win32') {
    const roots = [process.env.PROGRAMFILES, process.env['PROGRAMFILES(X86)'], process.env.LOCALAPPDATA].filter(Boolean)
    return roots.flatMap(root => WINDOWS.map(name => join(root, name))).find(path => existsSync(path)) ?? null
  }
  for (const folder of (process.env.PATH ?? '').split(':')) {
    const name = LINUX.find(candidate => isProgram(join(folder, candidate)))
    if (name) return join(folder, name)
  }
  return null
}

export const HOW_TO_INSTALL =
  'No Chromium-family browser was found. Install one (Debian or Ubuntu: sudo apt-get install chromium) or set CHROMIUM=/path/to/it.'

/** A browser, installed through apt where this is Debian and we are root; null (with a message) where that is not so. */
export function findOrInstallBrowser(say) {
  const found = findBrowser()
  if (found) return found
  const mayInstall = process.platform === 'linux' && existsSync('/usr/bin/apt-get') && process.getuid?.() === 0
  if (!mayInstall) return null
  installPackages(['chromium'], say)
  return findBrowser()
}

/** Installs Debian packages as root; failing is said, not thrown. */
export function installPackages(names, say) {
  say(`Installing ${names.join(', ')} with apt-get …`)
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' }
  spawnSync('apt-get', ['update', '-qq'], { env, stdio: 'ignore' })
  try {
    execFileSync('apt-get', ['install', '-y', '-qq', '--no-install-recommends', ...names], {
      env,
      stdio: ['ignore', 'ignore', 'inherit'],
    })
  } catch {
    say(`apt-get could not install ${names.join(', ')}.`)
  }
}
