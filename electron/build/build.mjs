// Builds what runs: `batch` (command line), `host` (window host), `desktop` (Electron main and preload), `renderer` (the window).
// A target is built again only when a source it may depend on has changed since.
import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs'
import { dirname, join, relative, resolve } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'

export const ROOT = resolve(dirname(fileURLToPath(import.meta.url)), '..', '..')
const DIST = join(ROOT, 'dist')

const node = {
  bundle: true,
  platform: 'node',
  format: 'esm',
  target: 'node20',
  packages: 'external',
  logLevel: 'warning',
}

const TARGETS = {
  batch: {
    sources: ['core', 'electron'],
    build: () =>
      bundle({
        ...node,
        entryPoints: [join(ROOT, 'electron/batch/main.ts')],
        outfile: join(DIST, 'batch/vinereach.mjs'),
      }),
  },
  host: {
    sources: ['core', 'electron'],
    build: () =>
      bundle({ ...node, entryPoints: [join(ROOT, 'electron/host/main.ts')], outfile: join(DIST, 'host/host.mjs') }),
  },
  desktop: {
    sources: ['core', 'electron'],
    build: async () => {
      await bundle({
        ...node,
        entryPoints: [join(ROOT, 'electron/desktop/main.ts')],
        outfile: join(DIST, 'desktop/main.mjs'),
      })
      // A sandboxed preload cannot be a module and may load nothing but 'electron'.
      const preload = { ...node, format: 'cjs', packages: 'bundle', external: ['electron'] }
      await bundle({
        ...preload,
        entryPoints: [join(ROOT, 'electron/desktop/preload.ts')],
        outfile: join(DIST, 'desktop/preload.cjs'),
      })
    },
  },
  renderer: {
    sources: ['core', 'renderer', 'electron/ipc', 'vite.config.ts'],
    build: async () => {
      const { build } = await import('vite')
      // A test runner sets a mode of its own, in which the window's libraries would be built for development.
      const before = process.env.NODE_ENV
      process.env.NODE_ENV = 'production'
      try {
        await build({ configFile: join(ROOT, 'vite.config.ts'), mode: 'production', logLevel: 'warn' })
      } finally {
        if (before === undefined) delete process.env.NODE_ENV
        else process.env.NODE_ENV = before
      }
    },
  },
}

/** Builds the named targets where they are not up to date. */
export async function buildTargets(names, say = text => process.stderr.write(`${text}\n`)) {
  for (const name of names) {
    const target = TARGETS[name]
    const stampFile = join(DIST, `.${name}.stamp`)
    const stamp = fingerprint([...target.sources, 'package-lock.json'])
    if (existsSync(stampFile) && readFileSync(stampFile, 'utf8') === stamp) continue
    say(`Building ${name} …`)
    await target.build()
    mkdirSync(DIST, { recursive: true })
    writeFileSync(stampFile, stamp)
  }
}

async function bundle(options) {
  const { build } = await import('esbuild')
  await build(options)
}

function fingerprint(places) {
  const hash = createHash('sha256')
  for (const file of places.flatMap(place => listFiles(join(ROOT, place))).sort()) {
    hash.update(relative(ROOT, file)).update('\0').update(readFileSync(file)).update('\0')
  }
  return hash.digest('hex')
}

function listFiles(path) {
  if (!existsSync(path)) return []
  if (!statSync(path).isDirectory()) return [path]
  return readdirSync(path).flatMap(name => listFiles(join(path, name)))
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  await buildTargets(process.argv.length > 2 ? process.argv.slice(2) : Object.keys(TARGETS))
}
