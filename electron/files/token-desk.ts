import { randomBytes } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import { basename, dirname } from 'node:path'
import { InputError } from '../../core/model/index.ts'
import type { FileToken } from '../ipc/surface.ts'
import { readInsideFolder } from './folder-files.ts'

/** Gives out tokens for paths that a person chose; the page never learns the path. */
export class TokenDesk {
  readonly #paths = new Map<string, string>()

  give(path: string): FileToken {
    const token = randomBytes(16).toString('base64url')
    this.#paths.set(token, path)
    return { token, name: basename(path) }
  }

  /** The token's file, or one named relative to it inside its folder. Errors: InputError for an unknown token or a name outside. */
  async read(token: string, relativePath?: string): Promise<Uint8Array> {
    const path = this.#paths.get(token)
    if (path === undefined) {
      throw new InputError({
        code: 'unknown-token',
        reason: 'The window asked for a file that was not chosen in it',
        remedy: 'Open the file again.',
      })
    }
    if (relativePath !== undefined) return readInsideFolder(dirname(path), relativePath)
    return new Uint8Array(await readFile(path))
  }
}
