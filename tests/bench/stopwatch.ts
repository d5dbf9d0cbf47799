import { execFileSync, spawnSync } from 'node:child_process'

/** Seconds of the runs of one piece of work, and what the last run gave. */
export interface Timing<T> {
  readonly seconds: readonly number[]
  /** Seconds of processor time of the same runs: what a busy machine does not lengthen. NaN where it was not measured. */
  readonly processor: readonly number[]
  readonly result: T
}

/** Runs the work so many times, after one run that is not counted where `warm` is set. */
export async function timeRuns<T>(runs: number, work: () => T | Promise<T>, warm = true): Promise<Timing<T>> {
  let result = warm ? await work() : undefined
  const seconds: number[] = []
  const processor: number[] = []
  for (let run = 0; run < runs; run++) {
    const start = performance.now()
    const used = process.cpuUsage()
    result = await work()
    const { user, system } = process.cpuUsage(used)
    seconds.push((performance.now() - start) / 1000)
    processor.push((user + system) / 1e6)
  }
  return { seconds, processor, result: result as T }
}

const least = (values: readonly number[]): number => Math.min(...values)

function figure(timing: Timing<unknown>): string {
  const { seconds, processor } = timing
  const mean = seconds.reduce((sum, value) => sum + value, 0) / seconds.length
  const spread = Math.max(...seconds) - Math.min(...seconds)
  const runs =
    seconds.length === 1 ? '1 run' : `${seconds.length} runs, mean ${mean.toFixed(2)} s, spread ${spread.toFixed(2)} s`
  const used = Number.isNaN(least(processor)) ? '' : `, processor ${least(processor).toFixed(2)} s`
  return `${least(seconds).toFixed(2)} s${used} (${runs})`
}

/** Prints the figure of our work. */
export function sayFigure(what: string, ours: Timing<unknown>): void {
  console.info(`\n${what}: ${figure(ours)}`)
}

/** Prints the figure of a named peer on the same data and the ratio of our least time to its. */
export function sayPeer(peer: string, ours: Timing<unknown>, theirs: Timing<unknown>, agreement: string): void {
  const isBoth = !Number.isNaN(least(theirs.processor))
  const ratio = isBoth ? least(ours.processor) / least(theirs.processor) : least(ours.seconds) / least(theirs.seconds)
  const of = isBoth ? 'processor time' : 'time'
  console.info(`  ${peer}: ${figure(theirs)}; ours takes ${ratio.toPrecision(2)} of its ${of}; ${agreement}`)
}

export const sayMissing = (peer: string, remedy: string): void =>
  console.info(`  ${peer} is not installed here and was not run (${remedy})`)

export const hasProgram = (name: string, ...args: string[]): boolean => spawnSync(name, args).status === 0

/** Debian's Python with a module, which need not be the one that is first on the path. */
export const hasPython = (module: string): boolean => hasProgram('/usr/bin/python3', '-c', `import ${module}`)

/** Runs a peer script with a file of input; it prints one JSON object with its own `seconds` and `processor` (without start and reading). */
export function runPython<T extends { readonly seconds: number; readonly processor: number }>(
  script: string,
  input: string,
): Timing<T> {
  const path = new URL(`./peers/${script}`, import.meta.url).pathname
  const result = JSON.parse(
    execFileSync('/usr/bin/python3', [path, input], {
      encoding: 'utf8',
      maxBuffer: 1 << 28,
      stdio: ['ignore', 'pipe', 'inherit'],
    }),
  ) as T
  return { seconds: [result.seconds], processor: [result.processor], result }
}
