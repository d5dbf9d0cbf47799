import type { FileKind, FileToken } from '../electron/ipc/surface.ts'

/** Files of a browser window: chosen and saved by the browser's own dialogs, held by the page alone. */
export interface PageFiles {
  choose(kind: FileKind): Promise<FileToken | null>
  holds(token: string): boolean
  read(token: string, relativePath?: string): Promise<Uint8Array>
  save(suggestedName: string, bytes: Uint8Array): { readonly name: string }
}

interface Chosen {
  readonly main: File
  /** Files of the folder by path relative to the main one. */
  readonly beside: ReadonlyMap<string, File>
}

const PREFIX = 'page-'

export function createPageFiles(): PageFiles {
  const held = new Map<string, Chosen>()
  return {
    async choose(kind) {
      const chosen = kind === 'brief' ? chosenBrief(await askForFiles(true)) : chosenFile(await askForFiles(false))
      if (chosen === null) return null
      const token = `${PREFIX}${held.size + 1}`
      held.set(token, chosen)
      return { token, name: chosen.main.name }
    },
    holds: token => held.has(token),
    async read(token, relativePath) {
      const chosen = held.get(token)
      const file = relativePath === undefined ? chosen?.main : chosen?.beside.get(cleanPath(relativePath))
      if (file === undefined) throw new Error('It is not in the folder that was chosen.')
      return new Uint8Array(await file.arrayBuffer())
    },
    save(suggestedName, bytes) {
      const link = document.createElement('a')
      link.href = URL.createObjectURL(new Blob([bytes as Uint8Array<ArrayBuffer>]))
      link.download = suggestedName
      link.click()
      // The browser has taken the bytes by the next turn but one; a minute is ample.
      setTimeout(() => URL.revokeObjectURL(link.href), 60_000)
      return { name: suggestedName }
    },
  }
}

/** The browser's own dialog; empty when the person changed their mind. */
function askForFiles(isFolder: boolean): Promise<readonly File[]> {
  return new Promise(resolve => {
    const input = document.createElement('input')
    input.type = 'file'
    input.webkitdirectory = isFolder
    input.addEventListener('change', () => resolve([...(input.files ?? [])]))
    input.addEventListener('cancel', () => resolve([]))
    input.click()
  })
}

const chosenFile = (files: readonly File[]): Chosen | null =>
  files[0] === undefined ? null : { main: files[0], beside: new Map() }

const cleanPath = (path: string) =>
  path
    .split('/')
    .filter(part => part !== '' && part !== '.')
    .join('/')

/** A page sees no folder of a single file, so the folder is chosen and its brief found: `brief.json`, else its only JSON file. */
function chosenBrief(files: readonly File[]): Chosen | null {
  if (files.length === 0) return null
  const beside = new Map(files.map(file => [file.webkitRelativePath.split('/').slice(1).join('/'), file]))
  const top = [...beside].filter(([path]) => /^[^/]+\.jsonc?$/i.test(path))
  const main = beside.get('brief.json') ?? (top.length === 1 ? top[0]![1] : undefined)
  if (main === undefined) throw new Error('That folder holds no brief. Choose the folder in which brief.json lies.')
  return { main, beside }
}
