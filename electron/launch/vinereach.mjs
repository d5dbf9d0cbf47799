// The batch command from a checkout: builds when it must, then runs it in this process.

import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { buildTargets, ROOT } from '../build/build.mjs'

await buildTargets(['batch'])
await import(pathToFileURL(join(ROOT, 'dist/batch/vinereach.mjs')).href)
