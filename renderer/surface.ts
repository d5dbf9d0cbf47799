import {
  CHANNELS,
  type FileToken,
  HOST_BEGIN_CALL,
  HOST_TOKEN_HEADER,
  type HostSurface,
  type Startup,
} from '../electron/ipc/surface.ts'

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
  const answer = await fetch(`/api/${HOST_BEGIN_CALL}`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ code }),
  })
  if (!answer.ok) throw new Error('This window was not opened by Vinereach. Start it again from the command line.')
  const { token } = (await answer.json()) as { token: string }
  window.sessionStorage.setItem(HOST_TOKEN_HEADER, token)
  return token
}

function connectWindowHost(token: string): HostSurface {
  const send = async (call: string, body: BodyInit, headers: Record<string, string> = {}) => {
    const answer = await fetch(`/api/${call}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json', [HOST_TOKEN_HEADER]: token, ...headers },
      body,
    })
    if (answer.ok) return answer
    const said = (await answer.json().catch(() => null)) as { reason?: string } | null
    throw new Error(said?.reason ?? `The window host answered ${answer.status}.`)
  }
  const ask = async <T>(call: string, args: object): Promise<T> =>
    (await (await send(call, JSON.stringify(args))).json()) as T
  return {
    startup: () => ask<Startup>(CHANNELS.startup, {}),
    chooseFile: kind => ask<FileToken | null>(CHANNELS.chooseFile, { kind }),
    readFile: async (file, relativePath) => {
      const answer = await send(CHANNELS.readFile, JSON.stringify({ token: file, relativePath }))
      return new Uint8Array(await answer.arrayBuffer())
    },
    saveFile: async (suggestedName, bytes) => {
      const answer = await send(CHANNELS.saveFile, new Blob([bytes as Uint8Array<ArrayBuffer>]), {
        'content-type': 'application/octet-stream',
        'x-vinereach-name': encodeURIComponent(suggestedName),
      })
      return (await answer.json()) as { name: string } | null
    },
    // A browser window has no menu of its own; the same commands stand in the find box.
    onMenu: () => undefined,
  }
}
