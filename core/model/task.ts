import { Cancelled, type Problem } from './problem.ts'

/**
 * Long work as its caller sees it. Work calls `step` between chunks of at most about 100 ms;
 * the host uses that moment to show progress and to take a cancel, which `step` answers by throwing `Cancelled`.
 */
export interface Task {
  /** `fraction` of this task that is done (0-1) and what it does now, in plain words. */
  step(fraction: number, note: string): Promise<void>
  /** Something the person should know about the answer; it is kept with the run. `problem` says where, if it has a place. */
  warn(code: string, message: string, problem?: Problem): void
  /** The part of this task between two fractions, for a piece of work that counts from 0 to 1 itself. */
  part(from: number, to: number): Task
}

export interface TaskHost {
  /** Called on every step; may wait (to let messages in). */
  onStep?(fraction: number, note: string): void | Promise<void>
  onWarning?(code: string, message: string, problem?: Problem): void
  isCancelled?(): boolean
}

/** A task that reports to a host; with an empty host it is the quiet task of tests. */
export function createTask(host: TaskHost = {}, from = 0, to = 1): Task {
  const check = () => {
    if (host.isCancelled?.()) throw new Cancelled()
  }
  return {
    async step(fraction, note) {
      check()
      await host.onStep?.(from + Math.min(1, Math.max(0, fraction)) * (to - from), note)
      check()
    },
    warn: (code, message, problem) => host.onWarning?.(code, message, problem),
    part: (low, high) => createTask(host, from + low * (to - from), from + high * (to - from)),
  }
}
