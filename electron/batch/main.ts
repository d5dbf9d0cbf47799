import { Cancelled, describeProblem, InputError } from '../../core/model/index.ts'
import { type Arguments, parseArguments } from './arguments.ts'
import { seasonCommand, sheetCommand } from './season-command.ts'
import { type BatchSession, describeDoubts, type Outcome, openSession } from './session.ts'
import {
  advanceCommand,
  checkCommand,
  convertCommand,
  downstreamCommand,
  networkCommand,
  outlineCommand,
  readCommand,
  vetCommand,
} from './step-commands.ts'
import { USAGE, UsageError } from './usage.ts'

type Command = (args: Arguments, session: BatchSession) => Promise<Outcome>

const COMMANDS: Readonly<Record<string, Command>> = {
  season: seasonCommand,
  read: readCommand,
  vet: vetCommand,
  outline: outlineCommand,
  advance: advanceCommand,
  network: networkCommand,
  downstream: downstreamCommand,
  sheet: sheetCommand,
  convert: convertCommand,
  check: checkCommand,
}

/** Results to stdout, everything else to stderr; the exit status of the contract. */
async function main(argv: readonly string[]): Promise<number> {
  const args = parseArguments(argv)
  if (args.isHelp || args.command === undefined) {
    process.stdout.write(USAGE)
    return args.isHelp ? 0 : 2
  }
  const command = Object.hasOwn(COMMANDS, args.command) ? COMMANDS[args.command] : undefined
  if (!command) throw new UsageError(`There is no command "${args.command}".`)
  const session = openSession(args.isJson)
  const outcome = await command(args, session)
  if (process.stderr.isTTY && !args.isJson) process.stderr.write('\r\u001b[2K')
  const rejected = outcome.rejected ?? []
  const doubts = describeDoubts(rejected, session.warnings)
  if (doubts !== '') process.stderr.write(`${doubts}\n`)
  // A result that lists its own warnings keeps them; for the rest they stand beside it.
  const own = outcome.json as { readonly warnings?: unknown }
  const json = { ...own, warnings: own.warnings ?? session.warnings }
  process.stdout.write(args.isJson ? `${JSON.stringify(json)}\n` : `${outcome.text}\n`)
  return rejected.length > 0 || outcome.isAnswerChanged === true ? 3 : 0
}

function fail(error: unknown): number {
  if (error instanceof UsageError) {
    process.stderr.write(`${error.message}\n\n${USAGE}`)
    return 2
  }
  if (error instanceof Cancelled) {
    process.stderr.write('\nCancelled; nothing was written.\n')
    return 130
  }
  if (error instanceof InputError) {
    const refused = describeDoubts(error.rejected, [])
    process.stderr.write(`\n${refused === '' ? '' : `${refused}\n`}${describeProblem(error.problem)}\n`)
    return 1
  }
  process.stderr.write(`\n${error instanceof Error ? (error.stack ?? error.message) : String(error)}\n`)
  return 1
}

process.exitCode = await main(process.argv.slice(2)).catch(fail)
