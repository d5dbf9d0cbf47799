import { readFile } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'

/** Version of the package that this command belongs to. */
export async function readVersion(): Promise<string> {
  const here = dirname(fileURLToPath(import.meta.url))
  const manifest: unknown = JSON.parse(await readFile(join(here, '..', '..', 'package.json'), 'utf8'))
  return (manifest as { version: string }).version
}
