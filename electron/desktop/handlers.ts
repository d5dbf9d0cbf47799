import { basename, extname, join } from 'node:path'
import type { BrowserWindow, Dialog, IpcMain, IpcMainInvokeEvent } from 'electron'
import { ZodError } from 'zod'
import { describeProblem, InputError } from '../../core/model/index.ts'
import { writeDurably } from '../files/durable-file.ts'
import type { TokenDesk } from '../files/token-desk.ts'
import { CALL_ARGUMENTS } from '../ipc/arguments.ts'
import { CHANNELS, type FileKind, type Startup } from '../ipc/surface.ts'
import { isOwnAddress } from './navigation.ts'

export interface HandlerOptions {
  readonly ipcMain: IpcMain
  readonly dialog: Dialog
  readonly window: () => BrowserWindow
  readonly tokens: TokenDesk
  readonly startup: Startup
  readonly documents: string
}

const FILTERS: Readonly<Record<FileKind, { name: string; extensions: string[] }>> = {
  brief: { name: 'Season brief', extensions: ['json', 'jsonc'] },
  layer: { name: 'Layer', extensions: ['zip', 'geojson', 'json', 'csv', 'tsv', 'txt'] },
  project: { name: 'Project', extensions: ['gpkg'] },
}

/** Registers the calls of the surface; each looks at its sender before anything else (checklist item 17). */
export function registerHandlers(options: HandlerOptions): void {
  const { ipcMain, dialog, tokens } = options
  const handle = (channel: string, work: (args: unknown[]) => Promise<unknown>) =>
    ipcMain.handle(channel, (event, ...args: unknown[]) => {
      if (!isOwnSender(event, options.window())) throw new Error('Refused: the call did not come from our own window.')
      return work(args).catch(plainError)
    })
  handle(CHANNELS.startup, async () => options.startup)
  handle(CHANNELS.chooseFile, async args => {
    const [kind] = CALL_ARGUMENTS.chooseFile.parse(args)
    const answer = await dialog.showOpenDialog(options.window(), {
      properties: ['openFile'],
      filters: [FILTERS[kind]],
      defaultPath: options.documents,
    })
    const path = answer.canceled ? undefined : answer.filePaths[0]
    return path === undefined ? null : tokens.give(path, kind === 'brief' ? 'folder' : 'file')
  })
  handle(CHANNELS.readFile, async args => tokens.read(...CALL_ARGUMENTS.readFile.parse(args)))
  handle(CHANNELS.saveFile, async args => {
    const [suggested, bytes] = CALL_ARGUMENTS.saveFile.parse(args)
    const name = safeName(suggested)
    const extension = extname(name).slice(1)
    const answer = await dialog.showSaveDialog(options.window(), {
      defaultPath: join(options.documents, name),
      filters: extension === '' ? [] : [{ name: extension.toUpperCase(), extensions: [extension] }],
    })
    if (answer.canceled || answer.filePath === '') return null
    const saved = basename(answer.filePath)
    await writeDurably(answer.filePath, bytes).catch((error: unknown) => {
      throw saveProblem(saved, error)
    })
    return { name: saved }
  })
}

/** The top frame of our one window, on our own origin; `senderFrame` is null when the frame is gone. */
function isOwnSender(event: IpcMainInvokeEvent, window: BrowserWindow): boolean {
  const frame = event.senderFrame
  return frame !== null && frame === window.webContents.mainFrame && isOwnAddress(frame.url)
}

/** A name for a dialog out of what the page suggests: no folders, nothing hidden, no characters that a system trips over. */
function safeName(suggested: string): string {
  const name = basename(suggested.replace(/[\p{C}<>:"|?*\\]/gu, '-')).replace(/^\.+/, '')
  return name === '' ? 'unnamed' : name
}

function saveProblem(file: string, error: unknown): InputError {
  const code = (error as NodeJS.ErrnoException).code ?? 'unknown'
  const reason = code === 'ENOSPC' ? 'The disk is full' : `It could not be written (${code})`
  return new InputError({ code: 'file-not-saved', file, reason, remedy: 'Save it in another place.' })
}

/** The page gets problems in words; anything else may name paths and stays in the log of this process. */
function plainError(error: unknown): never {
  if (error instanceof InputError) throw new Error(describeProblem(error.problem))
  if (error instanceof ZodError) throw new Error('Refused: the call came with wrong arguments.')
  console.error(error)
  throw new Error('The call failed. The output of the program says why.')
}
