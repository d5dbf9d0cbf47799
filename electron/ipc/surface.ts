/**
 * What the window may ask of its host (Electron's main process or the window host): the only way to files.
 * The page never sees a path: it holds tokens that the host gave out, and names inside a token's folder.
 */
export interface FileToken {
  readonly token: string
  /** Base name, for showing. */
  readonly name: string
}

export interface Startup {
  readonly version: string
  readonly locale: string
  /** The brief to open at the start, if any. */
  readonly brief: FileToken | null
}

export const FILE_KINDS = ['brief', 'layer', 'project'] as const
export type FileKind = (typeof FILE_KINDS)[number]

export const MENU_COMMANDS = ['open-brief', 'save-project', 'find', 'ledger'] as const
export type MenuCommand = (typeof MENU_COMMANDS)[number]

export interface HostSurface {
  startup(): Promise<Startup>
  /** Asks the person for a file; null when they changed their mind. */
  chooseFile(kind: FileKind): Promise<FileToken | null>
  /** The file of the token, or a file named relative to it and inside its folder. */
  readFile(token: string, relativePath?: string): Promise<Uint8Array>
  /** Asks where, and writes durably; null when they changed their mind. */
  saveFile(suggestedName: string, bytes: Uint8Array): Promise<{ readonly name: string } | null>
  onMenu(listener: (command: MenuCommand) => void): void
}

/** IPC channels, one a call; the window host uses the same names after `/api/`. */
export const CHANNELS = {
  startup: 'startup',
  chooseFile: 'choose-file',
  readFile: 'read-file',
  saveFile: 'save-file',
  menu: 'menu',
} as const

/** Header that carries the per-launch token to the window host, and the call that swaps the one-time code for it. */
export const HOST_TOKEN_HEADER = 'x-vinereach-token'
export const HOST_BEGIN_CALL = 'begin'
