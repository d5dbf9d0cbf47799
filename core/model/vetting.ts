/** One finding of the checks on a report. */
export interface Finding {
  readonly reportId: string
  readonly file: string
  readonly row: number
  /** Id of the rule, e.g. `future-date`. */
  readonly rule: string
  /** A blocking finding keeps an unchecked report out of every answer. */
  readonly severity: 'blocking' | 'doubt' | 'note'
  /** One plain sentence with the figures of this report. */
  readonly reason: string
}

/** Verdict on a report: whether it counts, and why not. */
export interface Admission {
  readonly reportId: string
  readonly isAdmitted: boolean
  /** `rejected`, `held`, `unchecked` (when only accepted ones count), or the blocking rule; null where admitted. */
  readonly reason: string | null
}
