import type { Files } from '../../desk-view.ts'
import {
  csvColumnsOf,
  describeReading,
  isAnswerChanged,
  readFile,
  writeCsv,
  writeGeoJson,
} from '../../formats/index.ts'
import { type Layer, projectLayerToGlobe } from '../../geo/index.ts'
import { InputError, type Problem, type Task } from '../../model/index.ts'
import { checkProject, openSqlite } from '../../project/index.ts'

/** What a file holds, as intake sees it. */
export async function describeFile(path: string, layer: string | undefined, files: Files, task: Task) {
  const bytes = await files.read(path)
  const reading = await readFile(path, bytes, { ...(layer === undefined ? {} : { layer }), task })
  return {
    description: describeReading(reading),
    rejected: reading.rejected,
    isAnswerChanged: reading.isDamaged || reading.rejected.length > 0 || reading.warnings.some(isAnswerChanged),
  }
}

/** A file in another format; only what an audience may see leaves, so reports and parcels are refused for all but the crew. */
export async function convertFile(
  from: string,
  to: string,
  audience: string,
  files: Files,
  task: Task,
): Promise<{ file: Uint8Array; rejected: readonly Problem[] }> {
  const reading = await readFile(from, await files.read(from), { task })
  if (audience !== 'crew') {
    throw new InputError({
      code: 'convert-audience',
      field: 'audience',
      value: audience,
      reason: 'Exact layers leave for the crew only in this version',
      remedy: 'Hand out a sheet instead: it is cut to its audience.',
    })
  }
  const layer = reading.layers[0]
  if (!layer) throw new InputError({ code: 'layer-missing', file: from, reason: 'The file holds no layer' })
  const onGlobe = layer.kind === 'none' ? layer : projectLayerToGlobe(layer)
  return { file: writeLayer(onGlobe, to), rejected: reading.rejected }
}

function writeLayer(layer: Layer, to: string): Uint8Array {
  if (/\.(geo)?json$/i.test(to)) return writeGeoJson(layer)
  if (/\.csv$/i.test(to)) return writeCsv(csvColumnsOf(layer.columns, layer.featureCount))
  throw new InputError({
    code: 'convert-format',
    file: to,
    reason: 'This version writes GeoJSON and CSV',
    remedy: 'End the name of the output in .geojson or .csv.',
  })
}

/** What is wrong with a project file; nothing when it is whole. */
export async function inspectProject(path: string, files: Files, sqlWasm: Uint8Array): Promise<readonly Problem[]> {
  return checkProject(await openSqlite(sqlWasm), await files.read(path))
}
