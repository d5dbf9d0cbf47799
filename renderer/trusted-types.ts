/**
 * The only door through which text becomes script or markup in this window: workers of our own origin, nothing else.
 * Imported before everything else, so that the policy stands when the first worker starts.
 */
interface PolicyRules {
  createScriptURL(url: string): string
  createHTML(): string
  createScript(): string
}

declare global {
  interface Window {
    trustedTypes?: { createPolicy(name: string, rules: PolicyRules): unknown }
  }
}

/** The URL unchanged when it is of this window's origin; a TypeError otherwise. */
export function admitWorkerUrl(url: string, base: string): string {
  const target = new URL(url, base)
  if (target.origin !== new URL(base).origin) throw new TypeError(`Script of another origin refused: ${target.origin}`)
  return url
}

window.trustedTypes?.createPolicy('default', {
  createScriptURL: url => admitWorkerUrl(url, window.location.href),
  createHTML: () => {
    throw new TypeError('Markup from text is not used in this window.')
  },
  createScript: () => {
    throw new TypeError('Script from text is not used in this window.')
  },
})
