/**
 * What went wrong with something a person gave: where, why and what to do about it.
 * `row` counts from 1 at the first feature; in a CSV row 1 is the header.
 */
export interface Problem {
  /** Stable short name, e.g. `csv-no-coordinates`. */
  readonly code: string
  /** File as the person knows it, or the path inside the brief, e.g. `downstream.retention_m.ordinary`. */
  readonly file?: string
  readonly layer?: string
  readonly row?: number
  readonly field?: string
  /** The offending value as text, shortened to 80 characters. */
  readonly value?: string
  /** One plain sentence: what is wrong. */
  readonly reason: string
  /** One plain sentence: what to do. */
  readonly remedy?: string
}

/** Input that cannot be used at all. Expected; doors turn it into exit status 1 or a message on screen. */
export class InputError extends Error {
  readonly problem: Problem
  /** Rows that were refused on the way there, to be listed with it. */
  readonly rejected: readonly Problem[]
  constructor(problem: Problem, rejected: readonly Problem[] = []) {
    super(describeProblem(problem))
    this.name = 'InputError'
    this.problem = problem
    this.rejected = rejected
  }
}

/** Work that was stopped by the person who asked for it. */
export class Cancelled extends Error {
  constructor() {
    super('Cancelled.')
    this.name = 'Cancelled'
  }
}

/** One line for a log or a message: `file, row 7, field lat: reason (value "x"). Remedy.` */
export function describeProblem(problem: Problem): string {
  const place = [
    problem.file,
    problem.layer === undefined ? undefined : `layer ${problem.layer}`,
    problem.row === undefined ? undefined : `row ${problem.row}`,
    problem.field === undefined ? undefined : `field ${problem.field}`,
  ].filter(part => part !== undefined)
  const value = problem.value === undefined ? '' : ` (value "${problem.value}")`
  const reason = problem.reason.replace(/\.$/, '')
  const remedy = problem.remedy === undefined ? '' : ` ${problem.remedy}`
  return `${place.length > 0 ? `${place.join(', ')}: ` : ''}${reason}${value}.${remedy}`
}
