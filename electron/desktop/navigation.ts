import type { App, Event, WebContents } from 'electron'

/** The window's own origin. */
export const APP_SCHEME = 'app'
export const APP_ORIGIN = 'app://bundle'
export const APP_START = `${APP_ORIGIN}/index.html`

/** Whether an address belongs to the window's own bundle. */
export function isOwnAddress(address: string): boolean {
  return address === APP_ORIGIN || address.startsWith(`${APP_ORIGIN}/`)
}

/** Checklist items 11 to 14: no foreign navigation or redirect, no new windows, no webviews, in any contents that appear. */
export function guardNavigation(app: App): void {
  app.on('web-contents-created', (_event, contents) => guardContents(contents))
}

function guardContents(contents: WebContents): void {
  const stay = (event: Event, address: string) => {
    if (!isOwnAddress(address)) event.preventDefault()
  }
  contents.on('will-navigate', (event, address) => stay(event, address))
  contents.on('will-frame-navigate', event => stay(event, event.url))
  contents.on('will-redirect', (event, address) => stay(event, address))
  contents.on('will-attach-webview', event => event.preventDefault())
  contents.setWindowOpenHandler(() => ({ action: 'deny' }))
}
