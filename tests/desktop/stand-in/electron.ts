/**
 * A stand-in for the module `electron`: the real main process runs in this Node process, its pages in Chromium.
 * `app://x/` is served at `https://x.app.test/` out of the handler that main registered, headers and all; every
 * other address is refused and written down. The preload runs in an isolated world, so context isolation is real.
 */
import { EventEmitter } from 'node:events'
import { readFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { type Browser, type BrowserContext, type CDPSession, chromium, type Page, type Route } from 'playwright-core'
import { PAGE_WORLD, preloadScript } from './page-scripts.ts'

type Handler = (event: unknown, ...args: unknown[]) => unknown
interface Prevented {
  readonly defaultPrevented: boolean
  preventDefault(): void
}

/** What the tests read and script. */
export const control = {
  windows: [] as BrowserWindow[],
  dialogs: [] as unknown[],
  /** What main asked for in each dialog that appeared. */
  asked: [] as Readonly<Record<string, unknown>>[],
  blocked: [] as string[],
  console: [] as string[],
  permissions: {} as Record<string, (...args: never[]) => unknown>,
  menu: null as unknown,
  async close(): Promise<void> {
    await state.browser?.close()
  },
}

const state: {
  browser?: Browser
  context?: BrowserContext
  schemes: Map<string, (request: Request) => Promise<Response>>
} = {
  schemes: new Map(),
}

const toWeb = (address: string) => address.replace(/^app:\/\/(\w+)/, 'https://$1.app.test')
const toApp = (address: string) => address.replace(/^https:\/\/(\w+)\.app\.test/, 'app://$1')

class Preventable implements Prevented {
  defaultPrevented = false
  preventDefault(): void {
    this.defaultPrevented = true
  }
}

async function launch(): Promise<void> {
  state.browser = await chromium.launch({
    executablePath: process.env['CHROMIUM'] ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--disable-background-networking'],
  })
  state.context = await state.browser.newContext({ viewport: { width: 1280, height: 800 } })
  await state.context.route('**/*', answerRoute)
}

async function answerRoute(route: Route): Promise<void> {
  const request = route.request()
  const address = toApp(request.url())
  const isNavigation = request.isNavigationRequest()
  if (isNavigation && isPopup(route)) return answerPopup(route, address)
  const contents = control.windows.find(window => window.page && request.frame().page() === window.page)?.webContents
  if (isNavigation && contents?.isLoaded && address !== contents.expected) {
    const event = new Preventable()
    contents.emit('will-navigate', event, address)
    if (event.defaultPrevented) {
      control.blocked.push(address)
      // 204 leaves the page standing; an aborted navigation would put an error page in its place.
      return route.fulfill({ status: 204 })
    }
  }
  const handler = state.schemes.get(address.split(':')[0]!)
  if (!handler) {
    control.blocked.push(address)
    return route.abort()
  }
  const answer = await handler(new Request(address, { method: request.method() }))
  await route.fulfill({
    status: answer.status,
    headers: Object.fromEntries(answer.headers),
    body: Buffer.from(await answer.arrayBuffer()),
  })
}

/** The frame of a window that is about to open does not exist yet. */
function isPopup(route: Route): boolean {
  try {
    route.request().frame()
    return false
  } catch {
    return true
  }
}

async function answerPopup(route: Route, address: string): Promise<void> {
  const action = control.windows.at(-1)?.webContents.openHandler({ url: address }).action ?? 'allow'
  control.blocked.push(`popup ${action} ${address}`)
  if (action !== 'allow') state.context?.once('page', page => void page.close())
  await route.abort()
}

class App extends EventEmitter {
  #ready: Promise<void> | undefined
  isSandboxed = false
  whenReady(): Promise<void> {
    this.#ready ??= launch()
    return this.#ready
  }
  enableSandbox(): void {
    this.isSandboxed = true
  }
  requestSingleInstanceLock(): boolean {
    return true
  }
  getPath(): string {
    return tmpdir()
  }
  getVersion(): string {
    return '0.0.0-test'
  }
  getLocale(): string {
    return 'en-US'
  }
  quit(): void {}
}
export const app = new App()

export const ipcMain = {
  handlers: new Map<string, Handler>(),
  handle(channel: string, handler: Handler): void {
    if (this.handlers.has(channel)) throw new Error(`Attempted to register a second handler for '${channel}'`)
    this.handlers.set(channel, handler)
  },
}

const nextDialog = async (_window: unknown, options: Readonly<Record<string, unknown>>): Promise<unknown> => {
  control.asked.push(options)
  if (control.dialogs.length === 0) throw new Error('A dialog appeared that the test did not expect.')
  return control.dialogs.shift()
}
export const dialog = { showOpenDialog: nextDialog, showSaveDialog: nextDialog }

export const protocol = {
  registerSchemesAsPrivileged(): void {},
  handle(scheme: string, handler: (request: Request) => Promise<Response>): void {
    state.schemes.set(scheme, handler)
  },
}

const remember = (name: string) => (handler: (...args: never[]) => unknown) => {
  control.permissions[name] = handler
}
export const session = {
  defaultSession: {
    setPermissionRequestHandler: remember('request'),
    setPermissionCheckHandler: remember('check'),
    setDevicePermissionHandler: remember('device'),
  },
}

export const Menu = {
  buildFromTemplate: (template: unknown) => template,
  setApplicationMenu(menu: unknown): void {
    control.menu = menu
  },
}

class WebContents extends EventEmitter {
  page!: Page
  cdp!: CDPSession
  isLoaded = false
  expected = ''
  preloadContext: number | undefined
  openHandler: (details: { url: string }) => { action: string } = () => ({ action: 'allow' })
  readonly mainFrame = { url: '' }

  setWindowOpenHandler(handler: (details: { url: string }) => { action: string }): void {
    this.openHandler = handler
  }
  send(channel: string, ...args: unknown[]): void {
    void this.toPreload({ channel, args: structuredClone(args) })
  }
  async toPreload(message: unknown): Promise<void> {
    const text = JSON.stringify(message, (_key, item: unknown) =>
      item instanceof Uint8Array ? { $bytes: Buffer.from(item).toString('base64') } : item,
    )
    const expression = `__fromMain(${JSON.stringify(text)})`
    if (this.preloadContext === undefined) return
    await this.cdp.send('Runtime.evaluate', { expression, contextId: this.preloadContext }).catch(() => undefined)
  }
}

interface WindowOptions {
  readonly webPreferences?: Readonly<Record<string, unknown>>
}

const PRELOAD_CONTEXT = 'preload'

export class BrowserWindow extends EventEmitter {
  readonly webContents = new WebContents()
  page: Page | undefined
  readonly #prepared: Promise<void>

  constructor(readonly options: WindowOptions) {
    super()
    refuseWeakened(options.webPreferences ?? {})
    control.windows.push(this)
    app.emit('web-contents-created', {}, this.webContents)
    this.#prepared = this.#prepare()
  }

  async loadURL(address: string): Promise<void> {
    await this.#prepared
    this.webContents.expected = address
    this.webContents.mainFrame.url = address
    await this.page!.goto(toWeb(address))
    this.webContents.isLoaded = true
    this.webContents.expected = ''
    this.emit('ready-to-show')
  }
  loadFile(): never {
    throw new Error('file:// is forbidden')
  }
  show(): void {}

  async #prepare(): Promise<void> {
    const contents = this.webContents
    const page = await state.context!.newPage()
    this.page = page
    contents.page = page
    contents.cdp = await state.context!.newCDPSession(page)
    await contents.cdp.send('Page.enable')
    await contents.cdp.send('Runtime.enable')
    contents.cdp.on('Runtime.executionContextCreated', event => {
      if (event.context.name === PRELOAD_CONTEXT) contents.preloadContext = event.context.id
    })
    await contents.cdp.send('Runtime.addBinding', { name: '__toMain', executionContextName: PRELOAD_CONTEXT })
    contents.cdp.on('Runtime.bindingCalled', event => void this.#answerCall(event.payload))
    await contents.cdp.send('Page.addScriptToEvaluateOnNewDocument', { source: PAGE_WORLD })
    const preload = preloadScript(readFileSync(String(this.options.webPreferences?.['preload']), 'utf8'))
    await contents.cdp.send('Page.addScriptToEvaluateOnNewDocument', { source: preload, worldName: PRELOAD_CONTEXT })
    page.on('console', message => control.console.push(`${message.type()} ${message.text()}`))
    page.on('pageerror', error => control.console.push(`pageerror ${error.message}`))
  }

  async #answerCall(payload: string): Promise<void> {
    const message = JSON.parse(payload, (_key, item: unknown) =>
      item !== null && typeof item === 'object' && '$bytes' in item
        ? new Uint8Array(Buffer.from(String(item.$bytes), 'base64'))
        : item,
    ) as { id: number; channel: string; args: unknown[] }
    try {
      const value = await callMain(message.channel, this.webContents.mainFrame, ...message.args)
      await this.webContents.toPreload({ id: message.id, value })
    } catch (error) {
      const text = `Error invoking remote method '${message.channel}': ${String(error)}`
      await this.webContents.toPreload({ id: message.id, error: text })
    }
  }
}

/** A call of the page as main gets it; tests give frames of their own to see them refused. */
export async function callMain(channel: string, senderFrame: unknown, ...args: unknown[]): Promise<unknown> {
  const handler = ipcMain.handlers.get(channel)
  if (!handler) throw new Error(`No handler registered for '${channel}'`)
  return structuredClone(await handler({ senderFrame }, ...args))
}

function refuseWeakened(preferences: Readonly<Record<string, unknown>>): void {
  const isSafe =
    preferences['contextIsolation'] === true &&
    preferences['sandbox'] === true &&
    preferences['nodeIntegration'] === false &&
    preferences['webSecurity'] !== false &&
    preferences['webviewTag'] === false
  if (!isSafe) throw new Error('The window weakens a web preference.')
}
