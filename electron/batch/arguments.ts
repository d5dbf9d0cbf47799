import { existsSync } from 'node:fs'
import { basename, dirname, resolve } from 'node:path'
import { parseArgs } from 'node:util'
import { OUTLINE_METHODS } from '../../core/model/index.ts'
import { UsageError } from './usage.ts'

const OPTIONS = {
  out: { type: 'string' },
  json: { type: 'boolean' },
  layer: { type: 'string' },
  brief: { type: 'string' },
  radius: { type: 'string' },
  join: { type: 'string' },
  'min-reports': { type: 'string' },
  method: { type: 'string' },
  reports: { type: 'string' },
  origin: { type: 'string' },
  step: { type: 'string' },
  snap: { type: 'string' },
  'node-crossings': { type: 'boolean' },
  'node-touches': { type: 'boolean' },
  accept: { type: 'string', multiple: true },
  trace: { type: 'string' },
  protect: { type: 'string' },
  'direction-field': { type: 'string' },
  'id-field': { type: 'string' },
  outlet: { type: 'string', multiple: true },
  sources: { type: 'string' },
  retention: { type: 'string' },
  'flood-retention': { type: 'string' },
  bank: { type: 'string' },
  'bank-scale': { type: 'string' },
  propagules: { type: 'string' },
  barriers: { type: 'string' },
  audience: { type: 'string' },
  'to-crs': { type: 'string' },
  owner: { type: 'string' },
  help: { type: 'boolean', short: 'h' },
} as const

export type OptionName = keyof typeof OPTIONS

/** The words of one command, looked up by name and checked on the way out. */
export interface Arguments {
  readonly command: string | undefined
  readonly isJson: boolean
  readonly isHelp: boolean
  /** The n-th word after the command. Errors: UsageError naming it when it is missing. */
  word(index: number, name: string): string
  text(name: OptionName): string | undefined
  required(name: OptionName): string
  /** --out, whose folder must be there. Errors: UsageError where it is missing or lies in no folder. */
  out(): string
  flag(name: OptionName): boolean
  number(name: OptionName, range: { readonly above?: number; readonly atLeast?: number }): number | undefined
  place(text: string, name: string): readonly [number, number]
  texts(name: OptionName): readonly string[]
  /** Refuses options that the command does not take. */
  allow(names: readonly OptionName[], words: number): void
}

export function parseArguments(argv: readonly string[]): Arguments {
  // A place or a number may begin with a minus sign, which would be taken for an option.
  const isValueOf = (option: string, word: string | undefined) =>
    word !== undefined && (isPlaceOption(option) || (takesText(option) && /^-\.?\d/.test(word)))
  const joined = argv.flatMap((word, i) => {
    if (i > 0 && isValueOf(argv[i - 1]!, word)) return []
    return isValueOf(word, argv[i + 1]) ? [`${word}=${argv[i + 1]}`] : [word]
  })
  const { values, positionals } = parse(joined)
  const [command, ...words] = positionals
  const text = (name: OptionName) => {
    const value = values[name]
    return typeof value === 'string' ? value : undefined
  }
  const required = (name: OptionName) => {
    const value = text(name)
    if (value === undefined) throw new UsageError(`${command} needs --${name}.`)
    return value
  }
  return {
    command,
    isJson: values.json === true,
    isHelp: values.help === true,
    word(index, name) {
      const word = words[index]
      if (word === undefined) throw new UsageError(`${command} needs ${name}.`)
      return word
    },
    text,
    required,
    out: () => checkedOut(required('out')),
    flag: name => values[name] === true,
    texts: name => (Array.isArray(values[name]) ? (values[name] as string[]) : []),
    number: (name, range) => {
      const value = text(name)
      return value === undefined ? undefined : numberIn(value, name, range)
    },
    place: parsePlace,
    allow(names, count) {
      const known: readonly string[] = [...names, 'json', 'help']
      const extra = Object.keys(values).find(name => !known.includes(name))
      if (extra) throw new UsageError(`${command} does not take --${extra}.`)
      if (words.length > count) throw new UsageError(`${command} does not know what to do with "${words[count]}".`)
    },
  }
}

const isPlaceOption = (word: string) => ['--outlet', '--origin', '--trace'].includes(word)

/** A name to write to. Errors: UsageError that names the folder which is not there. */
export function checkedOut(path: string): string {
  const folder = dirname(resolve(path))
  if (existsSync(folder)) return path
  throw new UsageError(`There is no folder ${folder} to write ${basename(path)} into; make it first.`)
}

const takesText = (word: string): boolean =>
  word.startsWith('--') && (OPTIONS as Record<string, { type: string }>)[word.slice(2)]?.type === 'string'

function parse(argv: readonly string[]) {
  try {
    return parseArgs({ args: [...argv], options: OPTIONS, allowPositionals: true })
  } catch (error) {
    throw new UsageError(error instanceof Error ? error.message : String(error))
  }
}

function numberIn(text: string, name: string, range: { readonly above?: number; readonly atLeast?: number }): number {
  const value = text.trim() === '' ? Number.NaN : Number(text)
  const isAbove = range.above === undefined || value > range.above
  const isAtLeast = range.atLeast === undefined || value >= range.atLeast
  if (Number.isFinite(value) && isAbove && isAtLeast) return value
  const bound = range.above === undefined ? `of at least ${range.atLeast}` : `above ${range.above}`
  throw new UsageError(`--${name} takes a number ${bound}, not "${text}".`)
}

function parsePlace(text: string, name: string): readonly [number, number] {
  const parts = text.split(',').map(part => (part.trim() === '' ? Number.NaN : Number(part)))
  const [longitude, latitude] = parts as [number, number]
  if (parts.length === 2 && Math.abs(longitude) <= 180 && Math.abs(latitude) <= 90) return [longitude, latitude]
  throw new UsageError(`--${name} takes LON,LAT in degrees, not "${text}".`)
}

export function outlineMethod(text: string | undefined) {
  const method = OUTLINE_METHODS.find(entry => entry === text)
  if (text !== undefined && method === undefined)
    throw new UsageError(`--method takes ${OUTLINE_METHODS.join(', ')}, not "${text}".`)
  return method
}
