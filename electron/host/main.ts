import { existsSync } from 'node:fs'
import { readFile } from 'node:fs/promises'
import { dirname, join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { TokenDesk } from '../files/token-desk.ts'
import { openWindowHost, type WindowHost } from './server.ts'

/** Opens the window host on a built window and a brief; for the launchers and the browser tests. */
export async function startHost(options: { root: string; brief?: string; port?: number }): Promise<WindowHost> {
  const tokens = new TokenDesk()
  const brief = options.brief === undefined ? undefined : resolve(options.brief)
  return openWindowHost({
    root: options.root,
    tokens,
    ...(options.port === undefined ? {} : { port: options.port }),
    startup: {
      version: await readVersion(),
      locale: Intl.DateTimeFormat().resolvedOptions().locale,
      brief: brief !== undefined && existsSync(brief) ? tokens.give(brief, 'folder') : null,
    },
  })
}

async function readVersion(): Promise<string> {
  const here = dirname(fileURLToPath(import.meta.url))
  const manifest: unknown = JSON.parse(await readFile(join(here, '..', '..', 'package.json'), 'utf8'))
  return (manifest as { version: string }).version
}
