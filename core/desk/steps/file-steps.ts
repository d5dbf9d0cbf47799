import type { Files } from '../../desk-view.ts'
import { describeReading, isAnswerChanged, readFile } from '../../formats/index.ts'
import type { Problem, Task } from '../../model/index.ts'
import { checkProject, openSqlite } from '../../project/index.ts'
import { warnOf } from './read-source.ts'

/** What a file holds, as intake sees it. */
export async function describeFile(path: string, layer: string | undefined, files: Files, task: Task) {
  const bytes = await files.read(path)
  const reading = await readFile(path, bytes, { ...(layer === undefined ? {} : { layer }), task })
  const description = describeReading(reading)
  for (const warning of description.warnings) warnOf({ ...(warning as unknown as Problem), file: path }, task)
  return {
    description,
    rejected: reading.rejected,
    isAnswerChanged: reading.isDamaged || reading.rejected.length > 0 || reading.warnings.some(isAnswerChanged),
  }
}

/** What is wrong with a project file; nothing when it is whole. */
export async function inspectProject(path: string, files: Files, sqlWasm: Uint8Array): Promise<readonly Problem[]> {
  return checkProject(await openSqlite(sqlWasm), await files.read(path))
}
