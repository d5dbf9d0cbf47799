import { randomBytes } from 'node:crypto'
import { open, readdir, rename, unlink } from 'node:fs/promises'
import { basename, dirname, join } from 'node:path'

const TEMPORARY = /^\.(.+)\.[0-9a-f]{12}\.vinereach-tmp$/

/**
 * Writes a file so that a reader, or a power cut, sees the old bytes or the new ones and nothing between:
 * temporary file in the same folder, fsync, size check, rename, fsync of the folder.
 * Errors: the file system's own error; the temporary file is removed and the old file untouched.
 */
export async function writeDurably(path: string, bytes: Uint8Array): Promise<void> {
  const staged = await stageDurably(path, bytes)
  try {
    await commitStaged(staged)
  } catch (error) {
    await discardStaged(staged)
    throw error
  }
}

/** A file whose bytes are safe on the disk beside the place that they are for. */
export interface StagedFile {
  readonly path: string
  readonly temporary: string
}

/** The first half of a durable write, so that several files can be put in place together. */
export async function stageDurably(path: string, bytes: Uint8Array): Promise<StagedFile> {
  const temporary = join(dirname(path), `.${basename(path)}.${randomBytes(6).toString('hex')}.vinereach-tmp`)
  const handle = await open(temporary, 'wx')
  try {
    try {
      await handle.writeFile(bytes)
      await handle.sync()
      const { size } = await handle.stat()
      if (size !== bytes.byteLength) throw new Error(`Wrote ${size} of ${bytes.byteLength} bytes to ${temporary}.`)
    } finally {
      await handle.close()
    }
  } catch (error) {
    await unlink(temporary).catch(() => undefined)
    throw error
  }
  return { path, temporary }
}

/** The second half: from here on the new bytes stand under the name. */
export async function commitStaged({ path, temporary }: StagedFile): Promise<void> {
  await rename(temporary, path)
  await syncFolder(dirname(path))
}

/** Removes a staged file that is not wanted; nothing where it was put in place. */
export const discardStaged = ({ temporary }: StagedFile): Promise<void> => unlink(temporary).catch(() => undefined)

/** Removes what a killed write left behind in a folder; only names of our own pattern. */
export async function sweepTemporaries(folder: string): Promise<string[]> {
  const names = (await readdir(folder)).filter(name => TEMPORARY.test(name))
  await Promise.all(names.map(name => unlink(join(folder, name)).catch(() => undefined)))
  return names
}

async function syncFolder(folder: string): Promise<void> {
  // Windows has no fsync of a folder; its rename is written through with the file.
  if (process.platform === 'win32') return
  const handle = await open(folder, 'r')
  try {
    await handle.sync()
  } finally {
    await handle.close()
  }
}
