import { randomBytes } from 'node:crypto'
import { readFile, realpath, stat } from 'node:fs/promises'
import { isAbsolute, join, relative } from 'node:path'
import { decodePath } from '../host/security.ts'
import { contentType, documentHeaders } from './headers.ts'

export interface BundleAnswer {
  readonly status: number
  readonly headers: Readonly<Record<string, string>>
  readonly body: Uint8Array<ArrayBuffer>
}

const NONCE_PLACE = '__CSP_NONCE__'

/** Serves one file of the built window, for both hosts: decoded once, inside the root with links followed, known kinds only. */
export async function readBundled(root: string, target: string): Promise<BundleAnswer> {
  const nonce = randomBytes(16).toString('base64url')
  const missing: BundleAnswer = { status: 404, headers: documentHeaders(nonce), body: new Uint8Array() }
  const path = decodePath(target)
  if (path === null) return missing
  const file = join(root, path === '/' ? '/index.html' : path)
  const type = contentType(file)
  const real = await realpath(file).catch(() => null)
  if (type === undefined || real === null) return missing
  const way = relative(await realpath(root), real)
  // On another drive of Windows the way from here is absolute.
  if (way.startsWith('..') || isAbsolute(way) || !(await stat(real)).isFile()) return missing
  const bytes = await readFile(real)
  const body = type.startsWith('text/html')
    ? new TextEncoder().encode(bytes.toString('utf8').replaceAll(NONCE_PLACE, nonce))
    : new Uint8Array(bytes)
  const cache = type.startsWith('text/html') ? 'no-store' : 'no-cache'
  return { status: 200, headers: { ...documentHeaders(nonce), 'Content-Type': type, 'Cache-Control': cache }, body }
}
