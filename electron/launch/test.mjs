// `npm test`: finds or installs what the tests need, checks types, borders and style, builds, and runs every test.
import { spawnSync } from 'node:child_process'
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { buildTargets, ROOT } from '../build/build.mjs'
import { findOrInstallBrowser, HOW_TO_INSTALL, installPackages } from './browser.mjs'
import { missingTools, sayMissing } from './reference-tools.mjs'

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

/** Programs that the reference checks compare with; without them those checks are skipped, which is said before and after. */
function installReferenceTools() {
  const packages = [...new Set(missingTools().map(([, from]) => from))]
  if (packages.length > 0 && existsSync('/usr/bin/apt-get') && process.getuid?.() === 0) installPackages(packages, say)
  const left = sayMissing(missingTools())
  if (left === null) return
  say(left)
  process.on('exit', () => say(left))
}

function run(command, args, env = {}) {
  const result = spawnSync(command, args, { cwd: ROOT, stdio: 'inherit', env: { ...process.env, ...env } })
  if (result.status !== 0) process.exit(result.status ?? 1)
}
