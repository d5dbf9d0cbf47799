import { readFile, realpath, stat } from 'node:fs/promises'
import { isAbsolute, relative, resolve, sep } from 'node:path'
import { InputError } from '../../core/model/index.ts'

/** Reads a file named relative to a folder. Errors: InputError that names the file and what to do. */
export async function readFromFolder(folder: string, name: string): Promise<Uint8Array> {
  return readNamed(resolve(folder, name), name)
}

/**
 * The same, but refuses whatever lies outside the folder, links followed, and hidden files and folders in it (a brief may
 * lie in a person's home, beside their keys): for names that come from a page.
 */
export async function readInsideFolder(folder: string, name: string): Promise<Uint8Array> {
  const refuse = () =>
    new InputError({
      code: 'file-outside-folder',
      file: name,
      reason: "The file lies outside the brief's folder",
      remedy: 'Move it beside the brief, or add it by choosing it.',
    })
  if (name.includes('\0') || isAbsolute(name)) throw refuse()
  const root = await realpath(folder)
  const target = resolve(root, name)
  if (!isInside(root, target)) throw refuse()
  const real = await realpath(target).catch(() => target)
  if (!isInside(root, real)) throw refuse()
  return readPlainFile(real, name)
}

function isInside(root: string, target: string): boolean {
  const way = relative(root, target)
  return way !== '' && !isAbsolute(way) && !way.split(sep).some(part => part.startsWith('.'))
}

/** Reads a plain file: a pipe would be waited for without end, and a device has none. Errors: as of the others. */
export async function readPlainFile(path: string, name: string): Promise<Uint8Array> {
  const found = await stat(path).catch(() => null)
  if (found === null || found.isFile() || found.isDirectory()) return readNamed(path, name)
  throw new InputError({
    code: 'file-unreadable',
    file: name,
    reason: 'This is a pipe or a device, not a file',
    remedy: 'Save its contents as a file first.',
  })
}

async function readNamed(path: string, name: string): Promise<Uint8Array> {
  try {
    return new Uint8Array(await readFile(path))
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code
    const reason =
      code === 'ENOENT'
        ? 'There is no such file'
        : code === 'EISDIR'
          ? 'This is a folder, not a file'
          : `It cannot be read (${code ?? 'unknown'})`
    throw new InputError({ code: 'file-unreadable', file: name, reason, remedy: 'Check the name and where it lies.' })
  }
}
