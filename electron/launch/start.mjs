// `npm start [-- BRIEF]`: opens the workstation without running anything first.
import { join } from 'node:path'
import { ROOT } from '../build/build.mjs'
import { openWindow } from './open-window.mjs'

const say = text => process.stdout.write(`${text}\n`)
process.exitCode = await openWindow(process.argv[2] ?? join(ROOT, 'sample-layers/brief.json'), say)
