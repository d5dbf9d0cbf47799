import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { TokenDesk } from '../../electron/files/token-desk.ts'
import { openWindowHost } from '../../electron/host/server.ts'

export interface TestHost {
  readonly address: string
  close(): Promise<void>
}

export interface TestHostOptions {
  readonly folder: string
  /** Text of the brief that is open at the start; null for none. */
  readonly brief?: string | null
  readonly locale?: string
}

/** The real window host on a built window, with a brief of the given text in a folder of its own. */
export async function openTestHost(options: TestHostOptions): Promise<TestHost> {
  const { folder, brief = '{ "title": "Tarn Brook district" }', locale = 'en-US' } = options
  const place = await mkdtemp(join(tmpdir(), 'vinereach-brief-'))
  const tokens = new TokenDesk()
  const path = join(place, 'brief.json')
  if (brief !== null) await writeFile(path, brief)
  const startup = { version: '0.1.0', locale, brief: brief === null ? null : tokens.give(path, 'folder') }
  const host = await openWindowHost({ root: folder, tokens, startup })
  return {
    address: host.address,
    async close() {
      await host.close()
      await rm(place, { recursive: true, force: true })
    },
  }
}
