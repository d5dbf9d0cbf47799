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
  const folder = dirname(path)
  const temporary = join(folder, `.${basename(path)}.${randomBytes(6).toString('hex')}.vinereach-tmp`)
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
    await rename(temporary, path)
  } catch (error) {
    await unlink(temporary).catch(() => undefined)
    throw error
  }
  await syncFolder(folder)
}

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
