import { mkdir } from 'node:fs/promises'
import { dirname, relative, resolve } from 'node:path'
import type { Files } from '../../core/desk.ts'
import {
  createTask,
  describeProblem,
  InputError,
  type Problem,
  type Task,
  type TaskHost,
} from '../../core/model/index.ts'
import { commitStaged, discardStaged, type StagedFile, stageDurably } from '../files/durable-file.ts'
import { readFromFolder } from '../files/folder-files.ts'

/** How a command ended: exit status 0, or 3 when what it says changes the answer. */
export interface Outcome {
  /** Result for `--json`. */
  readonly json: unknown
  /** The same for people, on stdout. */
  readonly text: string
  readonly rejected?: readonly Problem[]
  readonly isAnswerChanged?: boolean
}

/** A warning with its place in a file, where it has one. */
export type BatchWarning = Partial<Omit<Problem, 'reason'>> & { readonly code: string; readonly message: string }

/** Warnings go to stderr once; notes of progress overwrite each other on a terminal. */
export interface BatchSession {
  readonly files: Files
  readonly task: Task
  readonly host: TaskHost
  readonly warnings: readonly BatchWarning[]
  /** Writes all files or, when one cannot be written, none of them, and says which it was. */
  write(files: ReadonlyMap<string, Uint8Array>): Promise<void>
}

export function openSession(isQuiet: boolean): BatchSession {
  const warnings: BatchWarning[] = []
  const state = { isCancelled: false, shown: '', fraction: 0 }
  process.once('SIGINT', () => {
    state.isCancelled = true
  })
  const host: TaskHost = {
    isCancelled: () => state.isCancelled,
    async onStep(fraction, note) {
      // Pieces of work that count anew must not turn the counter back.
      state.fraction = Math.max(state.fraction, fraction)
      const line = `${String(Math.round(state.fraction * 100)).padStart(3)} %  ${note}`
      if (!isQuiet && line !== state.shown) showProgress(line)
      state.shown = line
      // Lets the interrupt in.
      await new Promise<void>(done => setImmediate(done))
    },
    onWarning(code, message, problem) {
      if (warnings.some(known => known.message === message)) return
      const { reason: _, ...place } = problem ?? { reason: '' }
      warnings.push({ ...place, code, message })
    },
  }
  return {
    files: { read: path => readFromFolder(process.cwd(), path) },
    task: createTask(host),
    host,
    warnings,
    write: writeAll,
  }
}

function showProgress(line: string): void {
  if (process.stderr.isTTY) process.stderr.write(`\r\u001b[2K${line}`)
  else process.stderr.write(`${line}\n`)
}

async function writeAll(files: ReadonlyMap<string, Uint8Array>): Promise<void> {
  const staged: StagedFile[] = []
  try {
    for (const [path, bytes] of files) {
      const file = resolve(path)
      await named(path, async () => {
        await mkdir(dirname(file), { recursive: true })
        staged.push(await stageDurably(file, bytes))
      })
    }
    for (const file of staged) await named(relative(process.cwd(), file.path), () => commitStaged(file))
  } catch (error) {
    await Promise.all(staged.map(discardStaged))
    throw error
  }
}

async function named(path: string, work: () => Promise<void>): Promise<void> {
  try {
    await work()
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? 'unknown'
    throw new InputError({
      code: 'write-failed',
      file: path,
      reason: `The file cannot be written (${code})`,
      remedy: 'Check the folder, its permissions and the free space.',
    })
  }
}

/** Lists what was refused and warned of, at most a screenful of each. */
export function describeDoubts(rejected: readonly Problem[], warnings: BatchSession['warnings']): string {
  const most = 20
  const lines = [
    ...rejected.slice(0, most).map(problem => `refused: ${describeProblem(problem)}`),
    ...(rejected.length > most ? [`… and ${rejected.length - most} more rows refused`] : []),
    ...warnings.slice(0, most).map(warning => `warning: ${warning.message}`),
    ...(warnings.length > most ? [`… and ${warnings.length - most} more warnings`] : []),
  ]
  return lines.join('\n')
}
