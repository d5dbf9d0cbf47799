import type { Layer } from '../geo/index.ts'
import { InputError, type Problem } from '../model/problem.ts'
import type { Task } from '../model/task.ts'

export const FILE_FORMATS = ['shapefile', 'geojson', 'csv'] as const
export type FileFormat = (typeof FILE_FORMATS)[number]

/** What a file holds: its layers, and all that was refused or repaired on the way. Rows read = features + rejected rows. */
export interface FileReading {
  readonly format: FileFormat
  readonly layers: readonly Layer[]
  readonly rejected: readonly Problem[]
  readonly warnings: readonly Problem[]
  /** True where the file is damaged and only part of it could be read; `warnings` says what. */
  readonly isDamaged: boolean
}

export interface ReadOptions {
  /** Read only this layer of a file that holds several. */
  readonly layer?: string
  /** `EPSG:n`; stands in where the file does not tell. */
  readonly crs?: string
  readonly task?: Task
}

/** Codes of warnings that say that the answer is not simply what the file holds. */
const ANSWER_CHANGING = new Set([
  'csv-quote-open',
  'geometry-empty',
  'ring-closed',
  'ring-dropped',
  'path-dropped',
  'hole-without-outer',
  'second-reading-differs',
])

/** Whether a warning of a reading changes the answer (exit status 3), rather than only telling how it was read. */
export const isAnswerChanged = (warning: Problem): boolean => ANSWER_CHANGING.has(warning.code)

/** A value as text for a problem, at most 80 characters, control characters shown as a space. */
export function shortValue(value: unknown): string {
  const text = typeof value === 'string' ? value : jsonText(value)
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is replaced
  const clean = text.replace(/[\u0000-\u001f\u007f]+/g, ' ')
  return clean.length > 80 ? `${clean.slice(0, 79)}…` : clean
}

/** JSON of a value, whatever its depth: a few thousand levels overflow the serialiser. */
export function jsonText(value: unknown): string {
  try {
    return JSON.stringify(value) ?? String(value)
  } catch {
    return '(nested too deeply)'
  }
}

/** The file's name without folders and ending: the name of a layer whose file gives none. */
export function baseName(path: string): string {
  const last = path.split(/[\\/]/).at(-1) ?? path
  return last.replace(/\.[^.]*$/, '') || last
}

/** The layers asked for; an InputError that lists the names when the one asked for is not there. */
export function chooseLayers<T extends { readonly name: string }>(file: string, layers: T[], wanted?: string): T[] {
  if (wanted === undefined) return layers
  const chosen = layers.filter(layer => layer.name === wanted)
  if (chosen.length > 0) return chosen
  throw new InputError({
    code: 'layer-missing',
    file,
    layer: wanted,
    reason: 'The file has no layer of that name',
    remedy: `Layers in it: ${layers.map(layer => layer.name).join(', ') || 'none'}.`,
  })
}
