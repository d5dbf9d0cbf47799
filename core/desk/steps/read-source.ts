import type { Files } from '../../desk-view.ts'
import { readFile, readReports } from '../../formats/index.ts'
import { type Layer, projectLayerToGlobe } from '../../geo/index.ts'
import {
  type Brief,
  describeProblem,
  InputError,
  type LayerSource,
  type Problem,
  type Report,
  type Task,
} from '../../model/index.ts'
import { defaultBrief, parseBrief } from '../../project/index.ts'

/** A file's first layer on the globe, with what was refused on the way. */
export async function readOnGlobe(
  path: string,
  files: Files,
  task: Task,
): Promise<{ layer: Layer; layers: Layer[]; rejected: readonly Problem[] }> {
  const reading = await readFile(path, await files.read(path), { task })
  const layers = reading.layers.map(layer => (layer.kind === 'none' ? layer : projectLayerToGlobe(layer)))
  const layer = layers[0]
  if (!layer) throw new InputError({ code: 'layer-missing', file: path, reason: 'The file holds no layer' })
  for (const warning of reading.warnings) warnOf(warning, task)
  return { layer, layers, rejected: reading.rejected }
}

/** A warning of a reading, with its file, row and field. */
export const warnOf = (warning: Problem, task: Task): void => task.warn(warning.code, describeProblem(warning), warning)

/** The settings of a step: those of a brief where one is given, else every default with unchecked reports admitted. */
export async function briefForStep(path: string | undefined, files: Files): Promise<Brief> {
  if (path === undefined) return defaultBrief({ reports: [], reference: [] })
  return parseBrief(new TextDecoder().decode(await files.read(path)), path)
}

/** Reports of one file: by the brief's field names where it lists the file, else by our own names as column names. */
export async function readReportFile(
  path: string,
  brief: Brief,
  files: Files,
  task: Task,
): Promise<{ reports: readonly Report[]; rejected: readonly Problem[] }> {
  const name = path.split(/[\\/]/).at(-1)
  const known = brief.layers.reports.find(source => source.path.split(/[\\/]/).at(-1) === name)
  const source: LayerSource = known ?? { path, fields: {}, dateFormat: 'auto' }
  const read = await readFile(path, await files.read(path), {
    ...(source.crs === undefined ? {} : { crs: source.crs }),
    task,
  })
  const layer = read.layers[0]
  if (!layer) throw new InputError({ code: 'layer-missing', file: path, reason: 'The file holds no table' })
  const reading = readReports(layer, source, { file: path, coverTable: brief.outline.coverTable })
  for (const warning of [...read.warnings, ...reading.warnings]) warnOf(warning, task)
  return { reports: reading.reports, rejected: [...read.rejected, ...reading.rejected] }
}
