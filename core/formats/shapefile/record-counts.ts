import { InputError, type Problem } from '../../model/problem.ts'
import type { DbfTable } from './dbf-records.ts'
import type { ShpIndex, ShpPlace } from './shp-index.ts'

/** How many records a layer has in all, the damaged and missing ones too, and what its files disagree on. */
export interface RecordCounts {
  readonly count: number
  readonly warnings: readonly Problem[]
}

/**
 * Settles the number of records of a layer from its .shp, .shx and .dbf: the most that any of them holds, or that two of
 * them agree on. Shapes and rows are paired in order, as the format has it.
 * Errors: InputError where the .dbf says more records than it holds and no other file bears it out.
 */
export function settleRecordCounts(place: ShpPlace, index: ShpIndex, table: DbfTable | undefined): RecordCounts {
  const shapes = index.offsets.length
  const warnings: Problem[] = []
  let count = shapes
  if (table) {
    const isBorneOut = table.claimed === shapes || table.claimed === index.indexed
    if (table.claimed > table.recordCount && !isBorneOut && index.isWhole) throw refused(place, table.sizes)
    count = Math.max(count, isBorneOut ? table.claimed : table.recordCount)
    if (table.claimed > table.recordCount) {
      warnings.push({ code: 'dbf-cut-off', ...place, reason: table.sizes, remedy: REMEDY })
    } else if (table.recordCount !== shapes && index.isWhole) {
      const reason = `The .shp holds ${shapes} records, the .dbf ${table.recordCount}; they are paired in order`
      warnings.push({ code: 'shp-counts', ...place, reason, remedy: REMEDY })
    }
  }
  // Two against one: an index alone does not outweigh shapes and rows that agree.
  const isAgreed = index.isWhole && table?.recordCount === shapes
  if (!isAgreed) count = Math.max(count, index.indexed ?? 0)
  return { count, warnings }
}

const REMEDY = 'Copy or export the layer again.'

const refused = (place: ShpPlace, reason: string): InputError =>
  new InputError({ code: 'dbf-damaged', ...place, reason, remedy: REMEDY })
