import { readFile } from 'node:fs/promises'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'

/** Wasm and fonts that core is handed as bytes. */
export interface Assets {
  readonly sqlWasm: Uint8Array
  readonly fonts: Readonly<Record<string, Uint8Array>>
}

/** Font files by the name under which sheets ask for them. */
export const FONT_FILES = {
  sans: '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-400-normal.woff',
  'sans-ext': '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-ext-400-normal.woff',
  'sans-bold': '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-600-normal.woff',
  'sans-bold-ext': '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-ext-600-normal.woff',
  'sans-italic': '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-400-italic.woff',
  'sans-italic-ext': '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-ext-400-italic.woff',
  'serif-bold': '@fontsource/ibm-plex-serif/files/ibm-plex-serif-latin-600-normal.woff',
  'serif-bold-ext': '@fontsource/ibm-plex-serif/files/ibm-plex-serif-latin-ext-600-normal.woff',
} as const

/** Reads the assets from the installed packages. */
export async function readAssets(): Promise<Assets> {
  const require = createRequire(import.meta.url)
  const sqlWasm = await readFile(join(dirname(require.resolve('sql.js')), 'sql-wasm.wasm'))
  const fonts = await Promise.all(
    Object.entries(FONT_FILES).map(async ([name, file]) => [name, await readPackageFile(require, file)] as const),
  )
  return { sqlWasm: new Uint8Array(sqlWasm), fonts: Object.fromEntries(fonts) }
}

async function readPackageFile(require: NodeJS.Require, file: string): Promise<Uint8Array> {
  const [scope, name, ...rest] = file.split('/')
  const root = dirname(require.resolve(`${scope}/${name}/package.json`))
  return new Uint8Array(await readFile(join(root, ...rest)))
}
