import {
  CHANNELS,
  HOST_BEGIN_CALL,
  HOST_TOKEN_HEADER,
  type HostSurface,
  type Startup,
} from '../electron/ipc/surface.ts'
import { createPageFiles } from './page-files.ts'

declare global {
  interface Window {
    /** What the preload exposed; absent in a browser window. */
    readonly vinereach?: HostSurface
  }
}

/** The host of this window: the preload's object when there is one, else the window host that served the page. */
export async function openHostSurface(): Promise<HostSurface> {
  return window.vinereach ?? connectWindowHost(await takeToken())
}

/** Swaps the one-time code of the address for the launch's token and takes the code off the address bar. */
async function takeToken(): Promise<string> {
  const code = window.location.hash.replace(/^#/, '')
  window.history.replaceState(null, '', window.location.pathname)
  const kept = window.sessionStorage.getItem(HOST_TOKEN_HEADER)
  if (code === '' && kept !== null) return kept
  const { token } = (await (await send(HOST_BEGIN_CALL, { code }, {})).json()) as { token: string }
  window.sessionStorage.setItem(HOST_TOKEN_HEADER, token)
  return token
}

async function send(call: string, body: unknown, headers: Record<string, string>): Promise<Response> {
  const answer = await fetch(`/api/${call}`, {
    method: 'POST',
    headers: { 'content-type': 'application/json', ...headers },
    body: JSON.stringify(body),
  })
  if (answer.ok) return answer
  throw new Error(await refusalOf(answer))
}

async function refusalOf(answer: Response): Promise<string> {
  const text = await answer.text()
  if (!(answer.headers.get('content-type') ?? '').includes('json')) return text
  const said = JSON.parse(text) as { message?: string }
  return said.message ?? `The window host answered ${answer.status}.`
}

/** The host reads what was named at its start; what the person chooses or saves goes through the browser itself. */
function connectWindowHost(token: string): HostSurface {
  const authorised = { [HOST_TOKEN_HEADER]: token }
  const page = createPageFiles()
  return {
    startup: async () => (await (await send(CHANNELS.startup, [], authorised)).json()) as Startup,
    chooseFile: kind => page.choose(kind),
    readFile: async (file, relativePath) => {
      if (page.holds(file)) return page.read(file, relativePath)
      const args = relativePath === undefined ? [file] : [file, relativePath]
      return new Uint8Array(await (await send(CHANNELS.readFile, args, authorised)).arrayBuffer())
    },
    saveFile: async (suggestedName, bytes) => page.save(suggestedName, bytes),
    // A browser window has no menu of its own; the same commands stand in the find box.
    onMenu: () => undefined,
  }
}
