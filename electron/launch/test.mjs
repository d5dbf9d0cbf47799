// `npm test`: finds or installs what the tests need, checks types, borders and style, builds, and runs every test.
import { spawnSync } from 'node:child_process'
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { buildTargets, ROOT } from '../build/build.mjs'
import { findOrInstallBrowser, HOW_TO_INSTALL, installPackages } from './browser.mjs'

const say = text => process.stdout.write(`${text}\n`)

const browser = findOrInstallBrowser(say)
if (browser === null) {
  say(HOW_TO_INSTALL)
  process.exit(1)
}
installReferenceTools()
run('npm', ['run', '-s', 'check'])
await buildTargets(['batch', 'host', 'desktop', 'renderer'], say)
run(process.execPath, [join(ROOT, 'node_modules/vitest/vitest.mjs'), 'run', ...process.argv.slice(2)], {
  CHROMIUM: browser,
})

/** Programs that the reference checks compare with; without them those checks say that they are missing. */
function installReferenceTools() {
  const tools = { ogrinfo: 'gdal-bin', pdffonts: 'poppler-utils', cs2cs: 'proj-bin', Planimeter: 'geographiclib-tools' }
  const has = name => (process.env.PATH ?? '').split(':').some(folder => existsSync(join(folder, name)))
  const missing = Object.keys(tools).filter(name => !has(name))
  if (missing.length === 0) return
  const isRootOnDebian = existsSync('/usr/bin/apt-get') && process.getuid?.() === 0
  if (isRootOnDebian)
    installPackages(
      missing.map(name => tools[name]),
      say,
    )
  else
    say(
      `Checks against ${missing.join(', ')} will say that these are not installed (Debian: ${missing.map(name => tools[name]).join(', ')}).`,
    )
}

function run(command, args, env = {}) {
  const result = spawnSync(command, args, { cwd: ROOT, stdio: 'inherit', env: { ...process.env, ...env } })
  if (result.status !== 0) process.exit(result.status ?? 1)
}
