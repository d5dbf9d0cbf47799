import { copyFileSync, mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { build } from 'esbuild'
import type { Page } from 'playwright-core'
import { buildTargets } from '../../electron/build/build.mjs'

const ROOT = join(import.meta.dirname, '../..')
// Beside dist/desktop, so that main finds the window and the sample county where it does when it runs for real.
const OUT = join(ROOT, 'dist/desktop-test')

export type StandIn = typeof import('./stand-in/electron.ts')

/** Builds the real main and preload against the stand-in, runs main, and waits for its window. */
export async function openDesktop(): Promise<{ standIn: StandIn; page: Page }> {
  await buildTargets(['desktop', 'renderer'])
  mkdirSync(OUT, { recursive: true })
  const common = { bundle: true, platform: 'node', format: 'esm', packages: 'external', logLevel: 'error' } as const
  const standInFile = join(OUT, 'electron.mjs')
  await build({ ...common, entryPoints: [join(import.meta.dirname, 'stand-in/electron.ts')], outfile: standInFile })
  const mainFile = join(OUT, 'main.mjs')
  await build({
    ...common,
    packages: 'bundle',
    entryPoints: [join(ROOT, 'electron/desktop/main.ts')],
    outfile: mainFile,
    plugins: [
      {
        name: 'stand-in',
        setup(chosen) {
          chosen.onResolve({ filter: /^electron$/ }, () => ({ path: './electron.mjs', external: true }))
        },
      },
    ],
  })
  copyFileSync(join(ROOT, 'dist/desktop/preload.cjs'), join(OUT, 'preload.cjs'))
  const standIn = (await import(/* @vite-ignore */ pathToFileURL(standInFile).href)) as StandIn
  await import(/* @vite-ignore */ pathToFileURL(mainFile).href)
  for (let i = 0; i < 600 && standIn.control.windows[0]?.webContents.isLoaded !== true; i++) {
    await new Promise(done => setTimeout(done, 50))
  }
  return { standIn, page: standIn.control.windows[0]!.page! }
}
