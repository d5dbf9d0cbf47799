import { randomBytes, timingSafeEqual } from 'node:crypto'
import type { IncomingMessage } from 'node:http'

/** A decision on a request before anything else looks at it; null when it may pass. */
export interface Refusal {
  readonly status: number
  readonly reason: string
}

export const newSecret = (): string => randomBytes(32).toString('base64url')

export function isSameSecret(given: string | undefined, expected: string): boolean {
  const [a, b] = [Buffer.from(given ?? ''), Buffer.from(expected)]
  return a.length === b.length && timingSafeEqual(a, b)
}

/**
 * Gate that every request passes: exactly one Host header equal to our own address (a rebinding page carries its own
 * name), a target in origin form (an absolute or `//` target would change the host when joined), one decoding, no climbing.
 */
export function checkRequest(request: IncomingMessage, authority: string): Refusal | null {
  const hosts = request.rawHeaders.filter((_, i) => i % 2 === 0 && request.rawHeaders[i]!.toLowerCase() === 'host')
  if (hosts.length !== 1 || request.headers.host !== authority) return { status: 403, reason: 'Unknown host.' }
  // Nothing here speaks another protocol; a socket that was let through would be past every gate below.
  if (request.headers.upgrade !== undefined) return { status: 400, reason: 'No upgrades.' }
  const target = request.url ?? ''
  if (!target.startsWith('/') || target.startsWith('//')) return { status: 400, reason: 'Bad target.' }
  const path = decodePath(target)
  if (path === null) return { status: 400, reason: 'Bad path.' }
  const origin = request.headers.origin
  if (origin !== undefined && origin !== `http://${authority}`) return { status: 403, reason: 'Foreign origin.' }
  return null
}

/** Extra gate of the calls: same-origin fetches of JSON by POST only, with this launch's token. */
export function checkCall(
  request: IncomingMessage,
  token: string | undefined,
  expected: string | null,
): Refusal | null {
  if (request.method !== 'POST') return { status: 405, reason: 'Calls are posted.' }
  if (request.headers['sec-fetch-site'] !== 'same-origin') return { status: 403, reason: 'Not from our own page.' }
  if (!/^application\/json *(;|$)/i.test(request.headers['content-type'] ?? ''))
    return { status: 415, reason: 'JSON only.' }
  if (expected !== null && !isSameSecret(token, expected)) return { status: 403, reason: 'Unknown token.' }
  return null
}

/** The path of a target, decoded once; null when it climbs, hides a NUL or a backslash, or is decoded twice over. */
export function decodePath(target: string): string | null {
  const raw = target.split(/[?#]/, 1)[0]!
  let path: string
  try {
    path = decodeURIComponent(raw)
  } catch {
    return null
  }
  if (path.includes('\0') || path.includes('\\') || path.includes('%')) return null
  return path.split('/').includes('..') ? null : path
}
