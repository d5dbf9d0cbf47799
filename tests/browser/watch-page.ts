import { readFile } from 'node:fs/promises'
import { createRequire } from 'node:module'
import type { Page } from 'playwright-core'

/** What a page said or asked for that it should not have; both lists stay empty in a sound window. */
export interface PageWatch {
  /** Console lines of any kind, errors, and violations of the content policy. */
  readonly complaints: string[]
  /** Requests that left 127.0.0.1. */
  readonly strangers: string[]
  /** Requests that the host answered; a watch that saw none proves nothing. */
  readonly own: string[]
}

/** Listens from before the first request on. */
export async function watchPage(page: Page): Promise<PageWatch> {
  const watch: PageWatch = { complaints: [], strangers: [], own: [] }
  page.on('console', message => watch.complaints.push(`${message.type()}: ${message.text()}`))
  page.on('pageerror', error => watch.complaints.push(`error: ${error.message}`))
  // The context hears of requests of workers too, where a page would not.
  page.context().on('request', request => {
    const { protocol, hostname } = new URL(request.url())
    if (hostname === '127.0.0.1') watch.own.push(request.url())
    else if (protocol !== 'blob:' && protocol !== 'data:') watch.strangers.push(request.url())
  })
  await page.addInitScript(() => {
    document.addEventListener('securitypolicyviolation', event =>
      console.error(`policy: ${event.violatedDirective} ${event.blockedURI} ${event.sourceFile}:${event.lineNumber}`),
    )
  })
  return watch
}

const AXE = createRequire(import.meta.url).resolve('axe-core/axe.min.js')

/** Serious and critical findings of axe on the page as it stands, each with the markup it is about. */
export async function seriousFindings(page: Page): Promise<string[]> {
  // Through the debugger, so that the page's own policy stays as strict as it is.
  const source = await readFile(AXE, 'utf8')
  const session = await page.context().newCDPSession(page)
  await session.send('Runtime.evaluate', { expression: `${source};0` })
  await session.detach()
  return page.evaluate(async () => {
    const axe = (window as unknown as { axe: typeof import('axe-core') }).axe
    const { violations } = await axe.run(document, { resultTypes: ['violations'] })
    return violations
      .filter(({ impact }) => impact === 'serious' || impact === 'critical')
      .map(({ id, nodes }) => `${id}: ${nodes.map(node => node.html.slice(0, 160)).join(' | ')}`)
  })
}
