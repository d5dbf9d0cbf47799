import { existsSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { app, BrowserWindow, dialog, ipcMain, Menu, protocol, session } from 'electron'
import { TokenDesk } from '../files/token-desk.ts'
import type { Startup } from '../ipc/surface.ts'
import { readBundled } from './bundle.ts'
import { registerHandlers } from './handlers.ts'
import { buildMenu } from './menu.ts'
import { APP_SCHEME, APP_START, guardNavigation } from './navigation.ts'
import { denyPermissions } from './permissions.ts'

const HERE = dirname(fileURLToPath(import.meta.url))
const ROOT = resolve(HERE, '..', 'renderer')

app.enableSandbox()
protocol.registerSchemesAsPrivileged([
  { scheme: APP_SCHEME, privileges: { standard: true, secure: true, supportFetchAPI: true, codeCache: true } },
])
guardNavigation(app)

if (app.requestSingleInstanceLock()) void app.whenReady().then(openWindow)
else app.quit()
app.on('window-all-closed', () => app.quit())

async function openWindow(): Promise<void> {
  denyPermissions(session.defaultSession)
  protocol.handle(APP_SCHEME, async request => {
    const address = new URL(request.url)
    if (address.host !== 'bundle') return new Response(null, { status: 404 })
    const file = await readBundled(ROOT, address.pathname)
    return new Response(file.status === 200 ? file.body : null, { status: file.status, headers: file.headers })
  })
  const tokens = new TokenDesk()
  const window = createWindow()
  registerHandlers({
    ipcMain,
    dialog,
    window: () => window,
    tokens,
    startup: startupFor(tokens),
    documents: app.getPath('documents'),
  })
  Menu.setApplicationMenu(buildMenu(window))
  window.once('ready-to-show', () => window.show())
  await window.loadURL(APP_START)
}

function createWindow(): BrowserWindow {
  return new BrowserWindow({
    width: 1440,
    height: 900,
    minWidth: 1024,
    minHeight: 640,
    show: false,
    backgroundColor: '#f6f3ea',
    webPreferences: {
      preload: join(HERE, 'preload.cjs'),
      contextIsolation: true,
      sandbox: true,
      nodeIntegration: false,
      webviewTag: false,
    },
  })
}

/** The brief named on the command line, else the sample county that lies beside the program. */
function startupFor(tokens: TokenDesk): Startup {
  const named = process.argv.slice(1).find(argument => /\.jsonc?$/.test(argument))
  const sample = resolve(HERE, '..', '..', 'sample-layers', 'brief.json')
  const path = named === undefined ? sample : resolve(named)
  return {
    version: app.getVersion(),
    locale: app.getLocale() || 'en-US',
    brief: existsSync(path) ? tokens.give(path, 'folder') : null,
  }
}
