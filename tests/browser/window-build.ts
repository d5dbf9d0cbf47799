import { fileURLToPath } from 'node:url'
import { build, type Plugin } from 'vite'

const FIXTURE_DESK = fileURLToPath(new URL('./fixture-desk.ts', import.meta.url))
const CONFIG = fileURLToPath(new URL('../../vite.config.ts', import.meta.url))

/** Puts the fixture in the desk's place; the window's own code stays as it ships. */
const fixtureDesk = (): Plugin => ({
  name: 'fixture-desk',
  enforce: 'pre',
  resolveId: source => (source.endsWith('/core/desk.ts') ? FIXTURE_DESK : null),
})

/** Builds the window with the fixture desk into a folder, as it ships: the test runner's own mode would make a development build. */
export async function buildFixtureWindow(outDir: string): Promise<void> {
  const before = process.env['NODE_ENV']
  process.env['NODE_ENV'] = 'production'
  try {
    await build({
      configFile: CONFIG,
      mode: 'production',
      logLevel: 'warn',
      plugins: [fixtureDesk()],
      worker: { plugins: () => [fixtureDesk()] },
      build: { outDir, emptyOutDir: true },
    })
  } finally {
    process.env['NODE_ENV'] = before
  }
}
