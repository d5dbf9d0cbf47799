import { randomBytes } from 'node:crypto'
import { basename, dirname } from 'node:path'
import { InputError } from '../../core/model/index.ts'
import type { FileToken } from '../ipc/surface.ts'
import { readInsideFolder, readPlainFile } from './folder-files.ts'

/** What a token opens: its own file, or the files of its folder too. */
export type Reach = 'file' | 'folder'

/** Gives out tokens for paths that a person chose; the page never learns the path. */
export class TokenDesk {
  readonly #held = new Map<string, { readonly path: string; readonly reach: Reach }>()

  /** `folder` for a brief, which names files beside it; `file` for anything else. */
  give(path: string, reach: Reach): FileToken {
    const token = randomBytes(16).toString('base64url')
    this.#held.set(token, { path, reach })
    return { token, name: basename(path) }
  }

  /** The token's file, or one named relative to it inside its folder. Errors: InputError for an unknown token or a name outside. */
  async read(token: string, relativePath?: string): Promise<Uint8Array> {
    const held = this.#held.get(token)
    if (held === undefined) {
      throw new InputError({
        code: 'unknown-token',
        reason: 'The window asked for a file that was not chosen in it',
        remedy: 'Open the file again.',
      })
    }
    const { path, reach } = held
    if (relativePath === undefined) return readPlainFile(path, basename(path))
    if (reach === 'folder') return readInsideFolder(dirname(path), relativePath)
    throw new InputError({
      code: 'file-outside-folder',
      file: relativePath,
      reason: 'Only a brief names files beside it',
      remedy: 'Choose the file itself.',
    })
  }
}
