// `npm run demo`: the season's job on the sample county, what it wrote, then the workstation on it.
import { spawnSync } from 'node:child_process'
import { readdirSync, statSync } from 'node:fs'
import { join, relative } from 'node:path'
import { buildTargets, ROOT } from '../build/build.mjs'
import { openWindow } from './open-window.mjs'

const say = text => process.stdout.write(`${text}\n`)
const out = join(ROOT, 'out/demo')
const brief = join(ROOT, 'sample-layers/brief.json')

await buildTargets(['batch'])
say('Running the season on the sample county (an invented place) …')
const run = spawnSync(process.execPath, [join(ROOT, 'dist/batch/vinereach.mjs'), 'season', brief, '--out', out], {
  stdio: 'inherit',
})
if (run.status !== 0 && run.status !== 3) process.exit(run.status ?? 1)
say(`\nWritten to ${relative(process.cwd(), out) || '.'}:`)
for (const file of listFiles(out))
  say(`  ${relative(out, file)}  ${Math.max(1, Math.round(statSync(file).size / 1024))} kB`)
say('')
process.exitCode = await openWindow(brief, say)

function listFiles(folder) {
  return readdirSync(folder, { withFileTypes: true })
    .flatMap(entry => (entry.isDirectory() ? listFiles(join(folder, entry.name)) : [join(folder, entry.name)]))
    .sort()
}
